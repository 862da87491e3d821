"""Reading a report's document without the bench: its schema, its packed columns."""

import base64
import itertools
import json
import struct
import zlib
from pathlib import Path

FORMATS = {"i8": "b", "u8": "B", "i16": "h", "u16": "H", "i32": "i", "u32": "I", "f64": "d"}
SCHEMA = Path("harness/report/report.schema.json")


def block(document, name):
    """The block of this id; None if there is none."""
    return next((one for one in document["blocks"] if one["id"] == name), None)


def columns(containers):
    """The packed columns by name, as whole numbers before their scale; None where there is none."""
    raw = zlib.decompress(base64.b64decode(containers["data"], validate=True))
    count, at, found = containers["count"], 0, {}
    for column in containers["columns"]:
        form = f"<{count}{FORMATS[column['type']]}"
        values = [int(v) for v in struct.unpack_from(form, raw, at)]
        at += struct.calcsize(form)
        if column.get("delta"):
            values = list(itertools.accumulate(values))
        found[column["name"]] = [None if v == column.get("null") else v for v in values]
    if at != len(raw):
        raise ValueError(f"{len(raw)} bytes of columns, {at} of them read")
    return found


def strictly(text):
    """JSON without the words for what is no number, which Python would take."""

    def refuse(word):
        raise ValueError(f"{word} is no JSON")

    return json.loads(text, parse_constant=refuse)
