"""Writes to a journal until it is killed; says each thing on a line of its own once it is told that it was saved."""

import sys
from pathlib import Path

from journal.records.engine import FILE_NAME, open_engine, writing
from tests import factories

if __name__ == "__main__":
    folder, run = Path(sys.argv[1]), sys.argv[2]
    engine = open_engine(folder / FILE_NAME)
    for number in range(100_000):
        code = f"{run}-{number:05d}"
        with writing(engine) as session:
            made = factories.project(session, code=code)
            factories.entry(session, project_id=made.id)
        print(code, flush=True)  # noqa: T201 - how it tells the test
