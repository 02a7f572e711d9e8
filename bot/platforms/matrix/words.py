"""The few sentences that the Matrix room says by itself, where no club could say them.

They are given to it by the wiring: the room has no words of its own.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class MatrixWords:
    """Plain text each; `{}` stands for a name.

    - `choices`: above the command lines that stand for buttons. `form`: above a form's template.
    - `line`: above a form's line that is still to be filled in; `{}` is what it takes.
    - `picture`: above a picture's text. `hidden`: in the place of what is hidden as a spoiler.
    - `invited`: to members (`{}`) who have not yet entered their private rooms; `invited_many`: to
      so many (`{}`).
    - `edited`: to a member who edited a command. `unreadable`: to one whose message stays sealed.
    - `greeting`: in a chat that a member has opened, for one club (`{}`). `which_club`: above the
      clubs of one who is in several; `chosen`: when they have said which (`{}`). `no_club`: to one
      of none; `{}` is the sign before a command. `declined`: the reason why a chat is not entered.
    - `blocked`: in a club's room, to somebody (`{}`) who cannot be invited; `{}` is the bot's id.
    - `queued`: in a club's room, where so many (`{}`) wait for a private room, the last so many
      minutes (`{}`); `{}` is the bot's id. `queue_over`: in its place, when none waits any more.
    - `unreadable_chat`: in a chat that somebody has opened, where the bot cannot read; `{}` is the
      sign before a command.
    - `unfounded`: to a leader who asks for something in a room (`{}`: its sign) without a club.
    - `power_level`: what the right to something is; `{}` is the level. `give_rights`: how the bot
      gets all that it needs, up to a level (`{}`). `room_gone`: what to do where the bot is not in
      a club's room.
    - `name_place`: how a room is named for a move. `move_line`: the command for one, to `{}`.
    - `unencrypted`: to a leader, of an encrypted room (`{}`) where the bot cannot encrypt.
    - `link_lost`: in the place of a link that was not sent before the bot was ended.
    - `direct_name`, `direct_topic`: of a private room; `{}` is the club's room's name.
    """

    choices: str
    form: str
    line: str
    picture: str
    hidden: str
    invited: str
    invited_many: str
    edited: str
    unreadable: str
    greeting: str
    which_club: str
    chosen: str
    no_club: str
    declined: str
    blocked: str
    queued: str
    queue_over: str
    unreadable_chat: str
    unfounded: str
    power_level: str
    give_rights: str
    room_gone: str
    name_place: str
    move_line: str
    unencrypted: str
    link_lost: str
    direct_name: str
    direct_topic: str
