"""What every test stands on."""

from hypothesis import settings

# Two shared cores: a slow example is not a failure.
settings.register_profile("shop", deadline=None, max_examples=60)
settings.load_profile("shop")
