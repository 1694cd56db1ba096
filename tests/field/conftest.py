"""The served world of the pages, for the form."""

from tests.dashboard.conftest import (  # noqa: F401 - fixtures
    app,
    auditor,
    client,
    context,
    stranger,
    world_file,
)
