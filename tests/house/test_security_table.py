"""The table of DEVELOPERS.md, section Security: every test it names is there."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
SECTION = DEVELOPERS.partition("\n## Security\n")[2].partition("\n## ")[0]
ROWS = re.findall(r"^\| (V\d+\.\d+\.\d+) \|.*\|(.*)\|$", SECTION, re.MULTILINE)
NAMED = sorted(set(re.findall(r"`(tests/[\w/]+\.py)::(\w+)`", SECTION)))


def test_the_table_is_there_and_every_item_names_a_test():
    assert len(ROWS) >= 30
    assert [item for item, tests in ROWS if "::" not in tests] == []


@pytest.mark.parametrize(("path", "name"), NAMED)
def test_every_test_named_exists(path, name):
    tree = ast.parse((ROOT / path).read_text(encoding="utf-8"))
    assert name in {node.name for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)}
