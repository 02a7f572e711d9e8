"""The stage for the toy platform, so that the contract suite runs on it."""

from __future__ import annotations

from bot.platforms.toy.room import ToyRoom

from tests.contract.stages import OTHER_ROOM, ROOM, FakeStage


class ToyStage(FakeStage):
    def __init__(self) -> None:
        self.fake = ToyRoom([ROOM, OTHER_ROOM], platform="toy")
        self.room = self.fake
