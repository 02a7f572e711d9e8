"""The few sentences that the Discord room says by itself, where no club could say them.

They are given to it by the wiring: the room has no words of its own.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class DiscordWords:
    """Plain text each.

    - `no_club`: a command where no club meets; `no_club_leader`: the same, to who may found one.
    - `choose_channel`, `channel_menu`: the question where a new club shall meet, and its menu.
    - `group_purpose`: what the group of leaders' commands is for.
    - `stale`: a button that this version does not know. `failed`: it could not be answered.
    - `foreign`: to who sends what belongs to a club that they cannot reach from there.
    - `private_refused`: said in the open to who cannot be written to.
    - `fill_in`: the button that opens a form. `long_text`: above a text that is a file.
    - `welcome`: to the leader of a server that the bot has joined.
    - `missing`: a channel where the bot lacks permissions; `{}` stands for their names.
    - `give_rights`: how a permission is given; `channel_gone`: what to do where a club's channel is
      no more, or the bot is no more in its server.
    - `name_place`: how a channel is named for a move.
    - `no_club_direct`: to who writes directly and belongs to no club; `which_club`: to several,
      above these; `chosen`: when they have said which (`{}`).
    - `elsewhere`: to who writes directly, or presses something there, and may belong to a club that
      another process serves. `use_there`: in place of what could be pressed in a direct message;
      `{commands}` and `{channel}` stand for where that can be done.
    - `leaders_only`: to a member who asks for a leader's page before there is a club.
    """

    no_club: str
    no_club_leader: str
    choose_channel: str
    channel_menu: str
    group_purpose: str
    stale: str
    failed: str
    foreign: str
    private_refused: str
    fill_in: str
    welcome: str
    missing: str
    give_rights: str
    channel_gone: str
    name_place: str
    no_club_direct: str
    which_club: str
    chosen: str
    elsewhere: str
    use_there: str
    leaders_only: str
