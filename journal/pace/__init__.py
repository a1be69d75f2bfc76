"""What the logs teach: how this shop's minutes stand against the starting book, and how sure that is.

    normal      the normal distribution, and quantiles of mixtures of it
    priors      what is believed before any log
    algebra     the Gaussian part in closed form, projects absorbed
    integrate   the standard deviations integrated numerically
    design      rows of evidence → columns
    model       fit, the shop's paces, draws of a new project
    evidence    log lines → rows of evidence
    forecast    a plan's minutes, and the summary other programs read
    table_file  a table read from a CSV file, every bad place named
    log_file    a log or a plan read from such a file

Each imports only those above it. The engine knows groups (stages) of items (operations) with a baseline; nothing in
it is about benches, so glue spread, coverage or yield may be learnt by the same sums with another baseline.
"""
