"""Answers of a homeserver that strangers have had a hand in: whatever they hold, the place in the
stream moves on at every sync, nothing is waited out, and the next good line is answered.
"""

from __future__ import annotations

import copy
import json
import random
from collections import Counter
from typing import Any

import pytest

from tests.doubles.matrix.faulty_line import LIMITED
from tests.matrix.mutating import mutate
from tests.matrix.setting import Setting

REFUSED = (403, {"errcode": "M_FORBIDDEN", "error": "no"})
MOST_REQUESTS = 12
"""Requests that one sync may lead to: for keys, invitations, rooms that are no private ones."""
LONGEST_REQUEST = 64 * 1024
"""Bytes; the longest here is a full set of keys, of 13 KB."""


class Recorder:
    """Keeps what the homeserver answers to syncs and to questions for keys, and passes it on."""

    def __init__(self) -> None:
        self.syncs: list[dict[str, Any]] = []
        self.keys: dict[str, list[dict[str, Any]]] = {"/keys/query": [], "/keys/claim": []}

    def __call__(self, path: str, answer: Any) -> Any:
        if path.endswith("/sync"):
            self.syncs.append(copy.deepcopy(answer))
        for end, kept in self.keys.items():
            if path.endswith(end):
                kept.append(copy.deepcopy(answer))
        return answer


class Hostile:
    """Answers in the homeserver's place, `count` syncs long; then with `good` once, and no more.

    `waits` are the pauses that the bot makes.
    """

    def __init__(
        self, recorded: Recorder, good: dict[str, Any], setting: Setting, count: int
    ) -> None:
        self._recorded = recorded
        self._good = good
        self._setting = setting
        self._count = count
        self._source = random.Random(20261128)
        self.answered: Counter[str] = Counter()
        self.given: list[str] = []
        self.waits: list[float] | None = None

    def __call__(self, method: str, path: str) -> tuple[int, dict[str, Any]]:
        kinds = [end for end in ("/sync", *self._recorded.keys) if path.endswith(end)]
        if kinds == ["/sync"] and len(self.given) > self._count:
            if self.waits is None:
                self.waits = self._setting.waits.copy()
            return LIMITED
        self.answered[kinds[0] if kinds else "other"] += 1
        if kinds == ["/sync"]:
            return 200, self._sync()
        if kinds:
            answer = self._source.choice(self._recorded.keys[kinds[0]])
            return 200, mutate(answer, self._source, times=self._source.randint(1, 4))
        return REFUSED

    def _sync(self) -> dict[str, Any]:
        self.given.append(f"hostile-{len(self.given)}")
        if len(self.given) > self._count:
            answer = self._good
        else:
            answer = _anew(self._source.choice(self._recorded.syncs), self.given[-1])
            answer = mutate(answer, self._source, times=self._source.randint(1, 6))
            # So that keys are asked for, whatever else was changed.
            answer["device_lists"] = {"changed": [self._setting.ada.user_id]}
        return {**answer, "next_batch": self.given[-1]}


def _anew(answer: dict[str, Any], number: str) -> dict[str, Any]:
    """Return an answer with event ids of its own, so that nothing counts as known."""
    return dict(
        json.loads(json.dumps(answer).replace('"event_id": "$', f'"event_id": "${number}-'))
    )


async def live_a_little(setting: Setting) -> Recorder:
    """Have all that a club does happen, and return what the homeserver has answered."""
    recorded = Recorder()
    setting.line.alter = recorded
    await setting.prepare(is_encrypted=True)
    await setting.start()
    await setting.meet()
    ada, place = setting.ada, setting.private_room()
    said = await ada.say(place, "hint")
    await ada.react(place, said, "1\ufe0f\u20e3")
    ben = await setting.newcomer("ben")
    await ben.say(setting.room_id, "!board")
    for kind, content in (
        ("m.room.name", {"name": "Hazel Lane Solvers"}),
        ("m.room.power_levels", {"users": {setting.bot.user_id: 50}, "users_default": 0}),
    ):
        await ada.call("PUT", f"rooms/{setting.room_id}/state/{kind}/", content)
    await ada.call("PUT", f"rooms/{place}/redact/{said}/redact-1", {})
    for number, room_id in enumerate((place, setting.room_id)):
        plain = {"msgtype": "m.text", "body": "!in clear"}
        await ada.call("PUT", f"rooms/{room_id}/send/m.room.message/plain-{number}", plain)
    wish = {"is_direct": True, "invite": [setting.bot.user_id], "preset": "private_chat"}
    await ben.call("POST", "createRoom", wish)
    await ada.say(place, "last")
    await ada.until(lambda: "answer to last" in setting.answers())
    await ben.call("POST", f"rooms/{setting.room_id}/leave", {})
    await ada.say(place, "very last")
    await ada.until(lambda: "answer to very last" in setting.answers())
    return recorded


@pytest.mark.parametrize(
    "count",
    [
        pytest.param(150, id="150 syncs"),
        pytest.param(20_000, id="20,000 syncs", marks=pytest.mark.long),
    ],
)
async def test_no_answer_of_a_homeserver_stops_the_stream(
    setting: Setting, count: int, fired: Counter[str]
) -> None:
    recorded = await live_a_little(setting)
    rooms = [answer.get("rooms", {}).get("join", {}) for answer in recorded.syncs]
    club = copy.deepcopy(next(each[setting.room_id] for each in rooms if setting.room_id in each))
    event = {
        "type": "m.room.message",
        "event_id": "$good",
        "sender": setting.ada.user_id,
        "origin_server_ts": 1,
        "content": {"msgtype": "m.text", "body": "!still here"},
    }
    club["timeline"] = {"events": [*club["timeline"]["events"], event]}
    hostile = Hostile(recorded, {"rooms": {"join": {setting.room_id: club}}}, setting, count)
    setting.is_silent = True
    setting.waits.clear()
    setting.line.longest = 0
    setting.line.fault = hostile
    await setting.ada.say(setting.room_id, "so that the sync under way ends")

    def is_heard() -> bool:
        return any(act.text == "!still here" for act in setting.heard)

    while not is_heard():
        seen = len(hostile.given)
        await setting.ada.until(lambda seen=seen: len(hostile.given) > seen or is_heard())
    await setting.ada.until(lambda: hostile.waits is not None)
    assert hostile.waits == [], "nothing was waited out"
    given = set(hostile.given)
    asked = [place for place in setting.line.places if place in given]
    assert asked[: count + 1] == hostile.given, "each place is asked from, once"
    assert setting.line.longest <= LONGEST_REQUEST
    answered = hostile.answered
    assert answered["/keys/query"] >= count // 10
    assert sum(answered.values()) <= MOST_REQUESTS * answered["/sync"]
    set_aside = await setting.journal.count_unreadable()
    assert set_aside >= count
    fired.update({"syncs": count, "answers about devices": answered["/keys/query"]})
    fired.update({"other requests": answered["other"], "set aside": set_aside})
    fired.update({"lines heard": len(setting.heard), "longest request": setting.line.longest})
