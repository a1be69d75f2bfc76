"""The passphrase's hash: right, wrong, damaged."""

import pytest
from journal.errors import BadInput
from journal.records.passphrase import FILE_NAME, has_passphrase, is_passphrase, keep_passphrase


def test_the_right_one_is_known_and_a_wrong_one_is_not(tmp_path):
    assert not has_passphrase(tmp_path)
    assert not is_passphrase(tmp_path, "anything at all")
    keep_passphrase(tmp_path, "plane saw chisel rasp")
    assert is_passphrase(tmp_path, "plane saw chisel rasp")
    assert not is_passphrase(tmp_path, "plane saw chisel rasP")
    assert not is_passphrase(tmp_path, "x" * 100_000)
    content = (tmp_path / FILE_NAME).read_text()
    assert content.startswith("$argon2id$")
    assert "chisel" not in content
    assert (tmp_path / FILE_NAME).stat().st_mode & 0o777 == 0o600


@pytest.mark.parametrize("phrase", ["", "short", "elevenchars", "aaaaaaaaaaaaaaaa", "x" * 201])
def test_one_that_could_be_guessed_is_not_kept(tmp_path, phrase):
    with pytest.raises(BadInput, match="at least 12 characters"):
        keep_passphrase(tmp_path, phrase)
    assert not has_passphrase(tmp_path)


def test_a_damaged_file_lets_nobody_in(tmp_path):
    (tmp_path / FILE_NAME).write_text("$argon2id$v=19$broken")
    assert not is_passphrase(tmp_path, "plane saw chisel rasp")
