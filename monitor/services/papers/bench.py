"""How fast papers are made: `ops/bench papers [--supports N]`.

The processes that set parts begin by importing this module, as they import the small
one behind `underprop`; so it brings the rest only when it is run itself.
"""

import argparse


def main() -> None:
    """Make the report of a city and print pages a second."""
    from monitor.services.papers.bench_city import measure

    parser = argparse.ArgumentParser(prog="ops/bench papers")
    parser.add_argument("--supports", type=int, default=500)
    measure(parser.parse_args().supports)


if __name__ == "__main__":
    main()
