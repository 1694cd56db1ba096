"""Write the invented record of Velmarsh anew, byte for byte.

Run it from the top of the repository: python -m demo_data.make
"""

from pathlib import Path

from demo_data.book import Book
from demo_data.concerns import trouble
from demo_data.draft import Draft
from demo_data.events import events_text
from demo_data.fleet import fleet
from demo_data.ground import ground_text
from demo_data.stories_posts import (
    beacon_beech,
    chapel_row_plane,
    harbour_cedar,
    schoolyard_lime,
    tollgate_oak,
)
from demo_data.stories_record import (
    market_square_plane,
    slipped_cable,
    storm,
    struck_post,
)
from demo_data.stories_wood import (
    almshouse_mulberry,
    beacon_hornbeam,
    ferry_lane_ash,
    orchard_walnut,
    weir_willow,
)

FOLDER = Path(__file__).parent


def files() -> dict[str, str]:
    """The text of every file, by its name."""
    book = Book()
    drafts = fleet()
    trouble(drafts)
    for draft in [*_told(book), *drafts.values()]:
        draft.write(book)
    storm(book)
    return book.files() | {"events.csv": events_text()}


def _told(book: Book) -> list[Draft]:
    return [
        tollgate_oak(), harbour_cedar(book), schoolyard_lime(), beacon_beech(),
        chapel_row_plane(), ferry_lane_ash(), almshouse_mulberry(), weir_willow(),
        *orchard_walnut(book), beacon_hornbeam(), *market_square_plane(book),
        struck_post(), slipped_cable(),
    ]  # fmt: skip


def main() -> None:
    """Write the files beside this one."""
    for name, text in files().items():
        (FOLDER / name).write_text(text, encoding="utf-8", newline="")
    (FOLDER / "ground.geojson").write_text(ground_text(), encoding="utf-8")


if __name__ == "__main__":
    main()
