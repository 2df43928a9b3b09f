"""Seals: what each file that this program wrote says of itself, so that damage and loss show.

Such a file's name tells when it was written (`r-` and nanoseconds; `m-` for many of them joined).
Its Parquet metadata carry, under the key `corrosion`, the number of its rows, a digest of its
content, the name and seal of the file written before it in that log, and its own seal: a digest
over all of these. So a cell that was changed breaks the file's own seal, and a file that is gone is
missed by the one written after it.
"""

from __future__ import annotations

import base64
import json
import re
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import blake2b
from io import BytesIO
from pathlib import Path

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc
import pyarrow.parquet as pq

KEY = b"corrosion"
OWN = re.compile(r"^[rm]-(\d{18,20})-\d+-[0-9a-f]{8}\.parquet$")
_FEW = 100  # rows; below, packing costs more to open than it saves (measured)
_SIZE = 16  # bytes of a digest
_FACT_TYPES = [str, int, str, str, str, int, int]


@dataclass(frozen=True)
class Seal:
    """What one written file says of itself.

    Attributes
    ----------
    name : str
        Its file name.
    rows : int
        How many rows it holds.
    digest : str
        Digest of its content.
    before, before_seal : str
        Name and seal of the file written before it in that log; empty for the first.
    entered : int
        Newest `entered_at` of the rows that it stamped, us since 1970; 0 for none.
    clock : int
        What the computer's clock showed then, us since 1970.
    """

    name: str
    rows: int
    digest: str
    before: str
    before_seal: str
    entered: int
    clock: int

    @property
    def seal(self) -> str:
        """Digest over everything that it says of itself."""
        return _short(json.dumps(self.facts()).encode())

    def facts(self) -> list[str | int]:
        """The fields in order, as they are stored."""
        return [
            *(self.name, self.rows, self.digest, self.before, self.before_seal),
            *(self.entered, self.clock),
        ]


def is_own(name: str) -> bool:
    """True for the name of a file that this program wrote into a log."""
    return OWN.match(name) is not None


def is_joined(name: str) -> bool:
    """True for the name of a file that many written ones were joined into."""
    return name.startswith("m-") and is_own(name)


def written_ns(name: str) -> int:
    """When a file was written, ns since 1970, by its name; 0 for a file of another origin."""
    match = OWN.match(name)
    return int(match[1]) if match else 0


def content_digest(table: pa.Table) -> str:
    """Digest of what a table's cells say, whatever wrote it and however it was packed.

    Parameters
    ----------
    table : pyarrow Table
        Text, number, flag and time columns.

    Returns
    -------
    str
        BLAKE2 over rows, names, types and cells. A column without a known cell counts as absent,
        so that joining files with different columns changes no digest.
    """
    digest = blake2b(str(table.num_rows).encode(), digest_size=_SIZE)
    for name in sorted(table.column_names):
        column = table[name].combine_chunks()
        if column.null_count < len(column):
            digest.update(f"{name}:{column.type};".encode())
            for part in _bytes_of(column):
                digest.update(part)
    return digest.hexdigest()


def _bytes_of(column: pa.Array) -> list[bytes]:
    known = np.asarray(column.is_valid().to_numpy(zero_copy_only=False), bool)
    kind = column.type
    if pa.types.is_string(kind) or pa.types.is_large_string(kind):
        texts = [text.encode() for text in column.to_pylist() if text is not None]
        lengths = np.fromiter(map(len, texts), "<i8", len(texts))
        return [known.tobytes(), lengths.tobytes(), b"".join(texts)]
    if pa.types.is_timestamp(kind):
        column = column.cast(pa.timestamp(kind.unit)).cast(pa.int64())
    elif pa.types.is_date(kind) or pa.types.is_boolean(kind):
        column = column.cast(pa.int32()) if pa.types.is_date32(kind) else column.cast(pa.int8())
    values = pc.fill_null(column, pa.scalar(0).cast(column.type)).to_numpy(zero_copy_only=False)
    return [known.tobytes(), np.ascontiguousarray(values).tobytes()]


def sealed(
    table: pa.Table, seal: Seal, parts: Sequence[Seal] = (), joined: Sequence[str] = ()
) -> pa.Table:
    """The table with its seal in its metadata.

    Parameters
    ----------
    table : pyarrow Table
        What the file will hold.
    seal : Seal
        Its seal.
    parts : sequence of Seal
        Of a joined file: seals of the written files that its rows came from, in their order.
    joined : sequence of str
        Of a joined file: names of joined files that it took in with their parts.
    """
    metadata: dict[str, object] = {"seal": seal.facts()}
    if parts:
        metadata["parts"] = _packed([part.facts() for part in parts])
        metadata["joined"] = [*joined]
    return table.replace_schema_metadata({KEY: json.dumps(metadata).encode()})


def as_parquet(table: pa.Table) -> bytes:
    """A table with its metadata as the bytes of a Parquet file, every page with a checksum."""
    packed, few = BytesIO(), table.num_rows < _FEW
    with pq.ParquetWriter(
        packed,
        table.schema.remove_metadata(),
        write_page_checksum=True,
        store_schema=False,  # its types are Parquet's own, and a small file is read sooner
        use_dictionary=not few,
        write_statistics=not few,
        compression="none" if few else "snappy",
    ) as file:
        file.write_table(table)
        file.add_key_value_metadata(table.schema.metadata or {})
    return packed.getvalue()


def _packed(facts: list[list[str | int]]) -> str:
    return base64.b85encode(zlib.compress(json.dumps(facts).encode())).decode()


def seal_of(path: Path) -> Seal | None:
    """The seal in a file's metadata; None where it holds none."""
    return _seal(_said(pq.read_metadata(path).metadata))


def parts_of(path: Path) -> list[Seal]:
    """Seals of the files that a joined file was made of, in the order of its rows."""
    return _parts(_said(pq.read_metadata(path).metadata))


def seal_in(table: pa.Table) -> Seal | None:
    """The seal that a table read from a file carries."""
    return _seal(_said(table.schema.metadata))


def parts_in(table: pa.Table) -> list[Seal]:
    """The parts' seals that a table read from a joined file carries."""
    return _parts(_said(table.schema.metadata))


def replaced_in(table: pa.Table) -> set[str]:
    """Names of the files whose rows a joined file holds, so that they are not counted again."""
    metadata = _said(table.schema.metadata)
    joined = metadata.get("joined")
    names = {name for name in joined if isinstance(name, str)} if isinstance(joined, list) else ()
    return {part.name for part in _parts(metadata)} | {*names}


def _said(metadata: dict[bytes, bytes] | None) -> dict[str, object]:
    try:
        parsed = json.loads((metadata or {}).get(KEY, b"{}"))
    except ValueError:
        return {}
    return parsed if isinstance(parsed, dict) else {}


def _seal(metadata: dict[str, object]) -> Seal | None:
    return _of_facts(metadata.get("seal"))


def _of_facts(facts: object) -> Seal | None:
    if not isinstance(facts, list) or [type(fact) for fact in facts] != _FACT_TYPES:
        return None
    return Seal(*facts)


def _parts(metadata: dict[str, object]) -> list[Seal]:
    packed = metadata.get("parts")
    if not isinstance(packed, str):
        return []
    try:
        given = json.loads(zlib.decompress(base64.b85decode(packed)))
        seals = [_of_facts(facts) for facts in given]
    except (ValueError, zlib.error, IndexError, TypeError):
        return []
    return [seal for seal in seals if seal is not None]


def _short(content: bytes) -> str:
    return blake2b(content, digest_size=_SIZE).hexdigest()
