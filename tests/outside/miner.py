"""An event log as a program that mines processes reads it: r4pm, which is not ours.

Never knows what wrote the log.
"""

import json
from datetime import datetime
from pathlib import Path
from typing import Any

import r4pm

Told = dict[str, Any]


def read_by_r4pm(file: Path) -> list[Told]:
    """The traces as another program understands them."""
    log = r4pm.import_item("EventLog", str(file))
    again = file.with_suffix(".json")
    r4pm.export_item(log, str(again))
    r4pm.remove_item(log)
    traces: list[Told] = json.loads(again.read_text(encoding="utf-8"))["traces"]
    return traces


def said(attributes: list[Told]) -> Told:
    """Attributes by their keys."""
    return {each["key"]: each["value"]["content"] for each in attributes}


def case_time_s(events: list[Told]) -> float:
    """A case lasts from its first event to its last: so process miners count it (common practice, no source)."""
    moments = [datetime.fromisoformat(event["time:timestamp"]) for event in events]
    return (max(moments) - min(moments)).total_seconds()
