from itertools import product

from hypothesis import given
from hypothesis import strategies as st
from journal.cutting.fill import best_fill

ITEMS = st.lists(st.tuples(st.integers(1, 12), st.integers(1, 9), st.integers(1, 3)), max_size=4)


def worth(counts, values):
    return sum(sum(row[:count]) for count, row in zip(counts, values, strict=True))


@given(room=st.integers(0, 20), items=ITEMS)
def test_few_sizes_are_filled_as_well_as_trying_everything(room, items):
    sizes = [size for size, _, _ in items]
    values = [[float(value)] * count for _, value, count in items]
    ways = product(*(range(len(row) + 1) for row in values))
    fitting = [way for way in ways if sum(n * size for n, size in zip(way, sizes, strict=True)) <= room]
    found = best_fill(room, sizes, values)
    assert found in fitting
    assert worth(found, values) == max(worth(way, values) for way in fitting)


@given(room=st.integers(50, 400), sizes=st.lists(st.integers(1, 60), min_size=30, max_size=40, unique=True))
def test_many_sizes_still_fit_the_room_and_fill_nine_tenths_of_it(room, sizes):
    found = best_fill(room, sizes, [[float(size)] * 20 for size in sizes])
    filled = sum(count * size for count, size in zip(found, sizes, strict=True))
    assert 0.9 * room <= filled <= room
