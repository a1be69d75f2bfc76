"""What the logs teach: how this shop's minutes stand against the starting book, and how sure that is.

    normal      the normal distribution, and quantiles of mixtures of it
    priors      what is believed before any log
    algebra     the Gaussian part in closed form, projects absorbed
    integrate   the standard deviations integrated numerically
    design      rows of evidence → columns
    values      the book, tasks to come, beliefs, draws
    model       fit, the shop's paces, draws of a new project
    evidence    log lines → rows of evidence
    suspects    entries that do not fit the others
    forecast    a plan's minutes, and the summary other programs read
    level       the shop's level against the book over the years
    doubt       which operations bring the doubt, and how much of it logs take away
    explain     what moved a prediction, in a sentence
    progress    where a project in build will end up
    ratios      glue, finish, lumber, prices, rework … by the same model with another baseline
    score       how near a guess came
    backtest    past projects guessed as of the day they were agreed, beside plain rivals; backtest_values: for JSON
    table_file  a table read from a CSV file, every bad place named
    unit_column the unit column of such a file
    log_file    a log or a plan read from such a file

Each imports only those above it. The engine knows groups (stages) of items (operations) with a baseline; nothing in
it is about benches, so `ratios` learns glue spread, coverage or yield by the same sums with another baseline.
"""
