"""One thread for linear algebra, as the commands have it; and what the table needs beside pytest-benchmark's own figures."""

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy is imported


def pytest_benchmark_update_json(config, benchmarks, output_json):  # noqa: ARG001 - pytest-benchmark's own
    """The 95th percentile of every timing; how busy the machine was besides, and how much memory it has."""
    rounds = {one.fullname: sorted(one.stats.data) for one in benchmarks}
    for one in output_json["benchmarks"]:
        seconds = rounds[one["fullname"]]
        one["extra_info"]["p95_ms"] = 1e3 * seconds[min(len(seconds) - 1, int(0.95 * len(seconds)))]
    output_json["machine_info"]["load"] = os.getloadavg()[2]
    output_json["machine_info"]["memory_mb"] = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") // 2**20
