"""Installing with the real pip, from a folder of this test: what comes out where it works and where it cannot."""

import hashlib
import importlib.util
import os
import zipfile
from pathlib import Path

import pytest

from tests.bootstrap.conftest import Checkout, one_line


@pytest.fixture
def with_pip(bare_checkout: Checkout) -> Checkout:
    """A checkout whose .venv borrows the pip of the environment in which the tests run."""
    bare_checkout.make_venv()
    bare_checkout.add_django()
    spec = importlib.util.find_spec("pip")
    assert spec is not None
    assert spec.origin is not None
    os.symlink(Path(spec.origin).parent, bare_checkout.packages / "pip")
    bare_checkout.variables = {"PIP_NO_CACHE_DIR": "1", "PIP_RETRIES": "0"}
    return bare_checkout


def _wheel(folder: Path) -> tuple[Path, str]:
    """A package without content, and the SHA-256 of its file."""
    folder.mkdir()
    path = folder / "alpha-1.0-py3-none-any.whl"
    facts = "alpha-1.0.dist-info"
    with zipfile.ZipFile(path, "w") as wheel:
        wheel.writestr("alpha.py", "")
        wheel.writestr(f"{facts}/METADATA", "Metadata-Version: 2.1\nName: alpha\nVersion: 1.0\n")
        wheel.writestr(f"{facts}/WHEEL", "Wheel-Version: 1.0\nRoot-Is-Purelib: true\nTag: py3-none-any\n")
        wheel.writestr(f"{facts}/RECORD", "")
    return path, hashlib.sha256(path.read_bytes()).hexdigest()


def _lock(checkout: Checkout, digest: str, version: str = "1.0") -> None:
    text = f"alpha=={version} \\\n    --hash=sha256:{digest}\n"
    (checkout.top / "hangar/bootstrap/requirements.txt").write_text(text)


def test_a_package_is_installed_and_counted(with_pip: Checkout, tmp_path: Path) -> None:
    wheel, digest = _wheel(tmp_path / "wheels")
    _lock(with_pip, digest)
    ended = with_pip.start("check", PIP_NO_INDEX="1", PIP_FIND_LINKS=str(wheel.parent))
    assert ended.returncode == 0, ended.stderr
    assert ended.stdout.splitlines()[1].startswith("Installed 1 packages for the site (")
    assert (with_pip.packages / "alpha.py").exists()
    assert not (with_pip.venv / "hangar-installing").exists()


def test_a_file_that_is_not_the_locked_one_is_refused(with_pip: Checkout, tmp_path: Path) -> None:
    wheel, _ = _wheel(tmp_path / "wheels")
    _lock(with_pip, "0" * 64)
    line = one_line(with_pip.start("check", PIP_NO_INDEX="1", PIP_FIND_LINKS=str(wheel.parent)))
    assert "a download was not the file that the lock names" in line
    assert not (with_pip.packages / "alpha.py").exists()


@pytest.mark.parametrize("retries", ["0", "1"])
def test_without_network_the_line_says_what_to_check(with_pip: Checkout, retries: str) -> None:
    # Nothing listens on port 9 of this machine. Where it does not try again, pip says nothing of connections.
    line = one_line(with_pip.start("check", PIP_INDEX_URL="http://127.0.0.1:9/simple", PIP_RETRIES=retries))
    log = with_pip.venv / "hangar-install.log"
    assert line == (
        "Installing the packages failed: the package index could not be reached; check the network connection (and "
        f"the proxy, if there is one). What pip said is in {log}; then start again."
    )
    assert "127.0.0.1" in log.read_text()


def test_a_version_that_is_not_to_be_had_is_told_from_a_lost_network(with_pip: Checkout, tmp_path: Path) -> None:
    wheel, digest = _wheel(tmp_path / "wheels")
    _lock(with_pip, digest, version="2.0")
    line = one_line(with_pip.start("check", PIP_NO_INDEX="1", PIP_FIND_LINKS=str(wheel.parent)))
    assert "a package is not to be had for this Python or machine" in line
