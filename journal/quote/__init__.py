"""How much, and how sure.

    shop_rate   what an hour must bring, from the shop's year
    wages       what an hour costs where people are paid differently
    machine_rate   what a running hour of a machine costs
    takeoff     what a commission takes: boards, glue, finish, work
    costing     what that costs: means, line by line
    risk        how the cost may turn out: draws, ranges, chances
    throws      the dice, the same for every estimate
    estimate    the three together, as a tree of lines with their workings
    terms       what a client is asked for: lines, discount, tax, deposit, payments

Uses build, cutting and pace, and what is under them.
"""
