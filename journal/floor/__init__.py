"""What happened on the floor: stretches of work from taps of the clock, their overlaps, breaks and repairs.

    taps        a tap of the clock: an absolute event, never a toggle
    stretches   taps, in whatever order they came, → stretches of work; what each tap did
    clock       times of day in the shop's zone; a clock that was forgotten
    hours       hours as they are typed in the evening; splitting one stretch
    quiet       days on which somebody usually works and nothing was logged

Moments are UTC; a stretch lasts what really passed, also over a night on which the clocks are changed.
"""
