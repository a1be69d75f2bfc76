"""How much, and how sure.

    takeoff     what a commission takes: boards, glue, finish, work
    costing     what that costs: means, line by line
    risk        how the cost may turn out: draws, ranges, chances
    estimate    the three together, as a tree of lines with their workings

Uses build, cutting and pace, and what is under them.
"""
