"""Numbers on a terminal, in the marks of the shop."""

import json
import re
from dataclasses import replace

import pytest
from click.testing import CliRunner
from journal.cli import main
from journal.cli.show import console_for
from journal.desk import settings
from journal.records.engine import open_engine, writing
from journal.records.migrate import ensure_current
from journal.records.queries import shop as shop_records
from journal.units import Mark


@pytest.mark.parametrize(
    ("mark", "expected"), [(Mark.POINT, "12.5 h, $1,234.50"), (Mark.COMMA, "12,5 h, $1\u00a0234,50")]
)
def test_a_line_is_written_in_the_shops_marks(capsys, mark, expected):
    console_for(mark).print("12.5 h, $1,234.50")
    assert capsys.readouterr().out.strip() == expected


def test_paces_are_written_as_the_shop_writes_and_their_json_with_points(tmp_path, empty_file):
    (tmp_path / "journal.db").write_bytes(empty_file.read_bytes())
    engine = open_engine(tmp_path / "journal.db")
    ensure_current(engine)
    with writing(engine) as session:
        settings.save_shop(session, replace(shop_records.get_shop(session), decimal_mark=Mark.COMMA))
    engine.dispose()
    shown = CliRunner().invoke(main, ["paces", "--data", str(tmp_path)]).stdout
    assert re.search(r"\d,\d", shown)
    assert not re.search(r"\d\.\d", shown)
    as_json = CliRunner().invoke(main, ["paces", "--data", str(tmp_path), "--json"]).stdout
    assert isinstance(json.loads(as_json)["operations"][0]["minutes_per_unit"]["p50"], float)
