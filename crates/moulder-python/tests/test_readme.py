"""What the README says of Python runs, and everything public is described."""

from __future__ import annotations

import re
from pathlib import Path

import moulder
import pytest
from conftest import ROOT

BLOCK = re.compile(r"^```python\n(.*?)^```$", re.DOTALL | re.MULTILINE)


@pytest.mark.parametrize("page", [ROOT / "README.md", ROOT / "crates/moulder-python/README.md"])
def test_the_code_of_a_page_runs(
    page: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    blocks = BLOCK.findall(page.read_text())
    assert blocks, f"{page} has no Python"
    monkeypatch.chdir(tmp_path)
    (tmp_path / "my-bed.toml").write_text((ROOT / "examples/beds/log-box.toml").read_text())
    exec("\n".join(blocks), {"__name__": "__main__"})


def test_everything_public_is_described() -> None:
    for name in moulder.__all__:
        thing = getattr(moulder, name)
        if name == "__version__":
            continue
        assert thing.__doc__, name
        members = vars(thing).items() if isinstance(thing, type) else ()
        for word, member in members:
            if not word.startswith("_"):
                assert member.__doc__, f"{name}.{word}"
