"""When: the shop's real hours, and a plan's steps, waits and people on them.

    hours        the hours typed for a week, read and written
    calendar     those hours on real days: working time and wall time, one from the other
    workload     what is to be scheduled: activities, what each waits for and holds
    profile      how much of something is taken when
    place        one schedule from one order of precedence
    critical     the way through the network that takes longest, without regard to people
    search       the best order that counted work finds
    bound        the day before which no schedule ends
    chain        what fixed each start on the way to the finish
    spread       how the finish falls when minutes and luck vary
    verify       a replay that shares nothing with the search

Wall time is in whole minutes of UTC since 1970, working time in whole minutes the shop is open.
"""
