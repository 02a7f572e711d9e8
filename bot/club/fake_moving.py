"""A club's move to another room, in the store in memory."""

from __future__ import annotations

from dataclasses import replace as with_fields

from msgspec.structs import replace

from bot.club.changes import QueueNotice, Relocate
from bot.club.fake_rows import Line, Rows


def relocate(rows: Rows, change: Relocate) -> None:
    """Have a club meet in another room. Raises LookupError where that has a club."""
    club = rows.clubs[change.club_id]
    if rows.club_in(club.platform, change.room_id) not in (None, club):
        raise LookupError(f"a club meets in {change.room_id}")
    rows.left_rooms[club.id, club.stay] = club.room_id
    rows.clubs[club.id] = replace(
        club, room_id=change.room_id, first_room=club.home, stay=club.stay + 1
    )
    left = dict(change.left)
    for number, line in list(rows.lines.items()):
        said = line.notice
        if said.club_id != club.id or line.stay is not None:
            continue
        hangs = said.audience == "thread" or (said.under and rows.post_above(said) is not None)
        if line.reference is None and not hangs:
            continue
        if said.key in left:
            _wait_for_the_new_post(rows, said.key)
            own_key = f"left:{club.stay}:{said.key}"
            said = with_fields(said, key=own_key, audience="mend", reply=left[said.key])
            line = Line(said, reference=line.reference)
        rows.lines[number] = with_fields(line, stay=club.stay)
    if change.farewell:
        farewell = QueueNotice(club.id, f"left:{club.stay}", "room", change.farewell)
        rows.lines[rows.next_id()] = Line(farewell, stay=club.stay)


def _wait_for_the_new_post(rows: Rows, key: str) -> None:
    for day in rows.days.values():
        edition = "" if day.edition == 1 else f"/{day.edition}"
        if key == f"day:{day.club_id}:{day.date.isoformat()}{edition}":
            rows.days[day.id] = replace(day, post_ref=None)
