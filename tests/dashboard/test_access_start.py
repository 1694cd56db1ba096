"""What the server refuses to begin with."""

import stat
from pathlib import Path

import pytest

from dashboard.server import require_safe
from monitor.errors import InvalidInput
from monitor.settings import Settings


@pytest.mark.parametrize("host", ["0.0.0.0", "::", "192.0.2.7", "trees.example"])
def test_nobody_is_served_over_the_network_without_tls(host, tmp_path):
    with pytest.raises(InvalidInput, match="without TLS"):
        require_safe(Settings(data_folder=tmp_path, host=host))

    behind = Settings(data_folder=tmp_path, host=host, base_url="https://trees.example")
    require_safe(behind)
    require_safe(Settings(data_folder=tmp_path, host="127.0.0.1"))


def test_other_users_of_the_machine_do_not_read_the_record(tmp_path):
    folder = tmp_path / "data"
    folder.mkdir(mode=0o755)

    require_safe(Settings(data_folder=folder))

    assert stat.S_IMODE(folder.stat().st_mode) & 0o007 == 0
    require_safe(Settings(data_folder=Path("/not/there")))
