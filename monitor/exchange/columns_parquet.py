"""Lists as Parquet: typed columns, with unit and meaning beside each of them."""

import io
from datetime import date, datetime

import pyarrow as pa  # type: ignore[import-untyped]
import pyarrow.parquet as pq  # type: ignore[import-untyped]

from monitor.exchange.columns import Cell, CellKind, OutColumn, OutTable, number_text

_TYPES = {
    CellKind.TEXT: pa.string(),
    CellKind.TYPED: pa.string(),
    CellKind.NUMBER: pa.float64(),
    CellKind.WHOLE: pa.int64(),
    CellKind.DAY: pa.date32(),
    CellKind.INSTANT: pa.timestamp("us", tz="UTC"),
    CellKind.FLAG: pa.bool_(),
}


def parquet_bytes(table: OutTable) -> bytes:
    """The list as a Parquet file; what was typed stays text."""
    fields = [_field(column) for column in table.columns]
    arrays = [
        pa.array(
            [_plain(row[i], column.kind) for row in table.rows], _TYPES[column.kind]
        )
        for i, column in enumerate(table.columns)
    ]
    schema = pa.schema(fields, metadata={"meaning": table.meaning})
    out = io.BytesIO()
    pq.write_table(pa.table(arrays, schema=schema), out, compression="zstd")
    return out.getvalue()


def _field(column: OutColumn) -> pa.Field:
    metadata = {"unit": column.unit, "meaning": column.meaning}
    return pa.field(column.name, _TYPES[column.kind], metadata=metadata)


def _plain(cell: Cell, kind: CellKind) -> Cell:
    if cell is None or (cell == "" and kind is not CellKind.TEXT):
        return None
    if kind in (CellKind.TEXT, CellKind.TYPED):
        return cell if isinstance(cell, str) else _typed(cell)
    return cell


def _typed(cell: Cell) -> str:
    if isinstance(cell, int | float) and not isinstance(cell, bool):
        return number_text(cell)
    return cell.isoformat() if isinstance(cell, date | datetime) else str(cell)
