"""A message of the club as contents of Matrix events. Pure.

Matrix has no buttons, forms or alternative texts: choices become numbered lines that name their
command and can be pressed as reactions, a form a template to copy, and a picture's text hangs in a
thread below it. Everything is escaped; nobody is ever mentioned
unless named as the one answered.
"""

from __future__ import annotations

import html
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

from bot.platforms.matrix.reading import KEYCAPS
from bot.platforms.matrix.words import MatrixWords
from bot.platforms.message import Attachment, Form, Link, Message, Picture

BODY_LIMIT = 18_000
"""Bytes of one event's text. With its formatted twin it stays under 40 kB, and an encrypted event
under the specification's 64 KiB."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One event to send; a picture or another file is still to be uploaded. `relation`: to the
    first piece. `unkept`: sent in the place of `content`, which is all that is ever saved."""

    content: dict[str, Any]
    kind: str = "m.room.message"
    file: Attachment | None = None
    relation: str = ""
    commands: tuple[str, ...] = ()
    unkept: dict[str, Any] | None = None


@dataclass(slots=True)
class _Text:
    """The same text twice: plain, and formatted."""

    plain: list[str] = field(default_factory=list)
    rich: list[str] = field(default_factory=list)

    def add(self, plain: str, rich: str) -> None:
        self.plain.append(plain)
        self.rich.append(rich)

    def say(self, text: str) -> None:
        if text:
            self.add(text, f"<p>{_escape(text)}</p>")

    def quote(self, code: str) -> None:
        if code:
            self.add(code, f"<pre><code>{html.escape(code)}</code></pre>")

    def content(self, kind: str) -> dict[str, Any]:
        plain, rich = "\n\n".join(self.plain), "".join(self.rich)
        content: dict[str, Any] = {"msgtype": kind, "body": plain, "m.mentions": {}}
        if rich and len(rich.encode()) + len(plain.encode()) <= 2 * BODY_LIMIT:
            content |= {"format": "org.matrix.custom.html", "formatted_body": rich}
        return content


def _escape(text: str) -> str:
    return html.escape(text).replace("\n", "<br>")


def lay_out_answer(
    message: Message, words: MatrixWords, *, is_quiet: bool, taken: tuple[str, ...] = ()
) -> tuple[Piece, ...]:
    """Lay out a private message: everything in one event, or in several where it is long.

    `taken`: the command lines that its marks stand for already, where it takes another's place; a
    mark never means another line later, so the new ones come behind these while there are any.
    """
    pieces: list[Piece] = []
    *earlier, last = split_text(message.text)
    for part in earlier:
        text = _Text()
        text.say(part)
        pieces.append(Piece(text.content("m.notice")))
    text = _Text()
    text.say(last)
    if message.picture is None:
        text.quote(message.code)
    commands = _offer(text, message, words, prefix="", taken=taken)
    pieces.append(_finish(text, message.picture, commands, is_quiet=is_quiet))
    if message.picture is not None:
        pieces.append(_in_words(message.code, message.picture, words))
    if message.link is not None:
        pieces.append(_lay_out_link(message.link, words))
    if message.file is not None:
        pieces.append(_lay_out_file(message.file))
    return tuple(pieces)


def _in_words(code: str, picture: Picture, words: MatrixWords) -> Piece:
    """Lay out what a picture shows as text for eye and ear, in a thread below it: a caption is
    shown in full by some apps, so that all of it there would bury what is said."""
    below = _Text()
    below.quote(code)
    below.say(words.picture)
    below.say(picture.alt)
    return Piece(below.content("m.notice"), relation="thread")


def in_place(pieces: tuple[Piece, ...], reference: str) -> tuple[Piece, ...]:
    """Return an answer as what takes the place of an earlier one of ours; the text of its picture
    hangs below that."""
    first, *rest = pieces
    return _replacing(first, reference), *(
        replace(
            piece,
            relation="",
            content={**piece.content, "m.relates_to": thread_relation(reference)},
        )
        if piece.relation == "thread"
        else piece
        for piece in rest
    )


def _replacing(piece: Piece, reference: str) -> Piece:
    content = {
        **{key: piece.content[key] for key in ("msgtype", "m.mentions")},
        "body": f"* {piece.content['body']}",
        "m.new_content": piece.content,
        "m.relates_to": {"rel_type": "m.replace", "event_id": reference},
    }
    return Piece(content, file=piece.file, commands=piece.commands)


def _lay_out_link(link: Link, words: MatrixWords) -> Piece:
    """Lay out a link as an event of its own, which is sent and not saved."""
    shown, lost = _Text(), _Text()
    address = html.escape(link.address)
    rich = f'<p>{_escape(link.label)}: <a href="{address}">{address}</a></p>'
    shown.add(f"{link.label}: {link.address}", rich)
    lost.say(words.link_lost)
    return Piece(lost.content("m.notice"), unkept=shown.content("m.notice"))


def lay_out_post(message: Message, words: MatrixWords, prefix: str) -> tuple[Piece, ...]:
    """Lay out a post for everyone: a short caption; text for ear and eye in a thread; reactions."""
    text = _Text()
    text.say(message.text)
    if message.picture is None:
        text.quote(message.code)
    commands = _offer(text, message, words, prefix=prefix)
    pieces = [_finish(text, message.picture, commands, is_quiet=message.is_quiet)]
    if "room" in message.pings:
        pieces[0].content["m.mentions"] = {"room": True}
    if message.picture is not None:
        pieces.append(_in_words(message.code, message.picture, words))
    if message.file is not None:
        pieces.append(_lay_out_file(message.file, relation="thread"))
    for mark, _ in zip(KEYCAPS, commands, strict=False):
        pieces.append(Piece({}, kind="m.reaction", relation=f"annotation {mark}"))
    return tuple(pieces)


def lay_out_thread(
    title: str, messages: tuple[Message, ...], words: MatrixWords, *, under: str
) -> tuple[Piece, ...]:
    """Lay out a thread below a post. What it tells is hidden as a spoiler, in both forms."""
    first = _Text()
    first.say(title)
    pieces = [Piece(first.content("m.notice"))]
    for message in messages:
        for part in split_text(message.text):
            hidden = f"<span data-mx-spoiler>{_escape(part)}</span>"
            text = _Text([words.hidden], [f"<p>{hidden}</p>"])
            pieces.append(_finish(text, message.picture, (), is_quiet=True))
        if message.file is not None:
            pieces.append(_lay_out_file(message.file))
    for piece in pieces:
        piece.content["m.relates_to"] = thread_relation(under)
    return tuple(pieces)


def lay_out_under(
    message: Message, words: MatrixWords, prefix: str, *, under: str
) -> tuple[Piece, ...]:
    """Lay out a post that stands in a thread below another. What its picture shows is not written
    below it: it changes, and that would not."""
    first, *rest = lay_out_post(message, words, prefix)
    content = {**first.content, "m.relates_to": thread_relation(under)}
    reactions = (piece for piece in rest if piece.kind == "m.reaction")
    return replace(first, content=content), *reactions


def lay_out_edit(message: Message, words: MatrixWords, prefix: str, reference: str) -> Piece:
    """Lay out the replacement of a post; a picture in it is uploaded anew."""
    return _replacing(lay_out_post(message, words, prefix)[0], reference)


def lay_out_notice(text: str, *, to: tuple[str, ...] = (), reply_to: str = "") -> Piece:
    """Lay out a line of the room's own, for the members `to`, by their ids, where it is in the
    open."""
    line = _Text()
    line.say(text)
    content = line.content("m.notice")
    if to:
        content["m.mentions"] = {"user_ids": list(to)}
    if reply_to:
        content["m.relates_to"] = {"m.in_reply_to": {"event_id": reply_to}}
    return Piece(content)


def thread_relation(root: str) -> dict[str, Any]:
    """Return what puts an event in the thread of `root`, and under it where threads are not
    shown."""
    return {
        "rel_type": "m.thread",
        "event_id": root,
        "is_falling_back": True,
        "m.in_reply_to": {"event_id": root},
    }


def relation_of(relation: str, first: str) -> dict[str, Any]:
    """Return what makes a later piece belong to the first, once that one has its id."""
    if relation == "thread":
        return thread_relation(first)
    mark = relation.removeprefix("annotation ")
    return {"rel_type": "m.annotation", "event_id": first, "key": mark}


def split_text(text: str) -> list[str]:
    """Split a long text at its lines, so that each part fits an event."""
    return list(_parts(text)) or [""]


def _pieces(line: str) -> Iterator[str]:
    """Yield a line in pieces that fit, of whole characters; each byte is looked at once."""
    rest, start = line.encode(), 0
    while start < len(rest):
        piece = rest[start : start + BODY_LIMIT].decode(errors="ignore")
        yield piece
        start += len(piece.encode())


def _parts(text: str) -> Iterator[str]:
    part: list[str] = []
    size = 0
    for line in text.split("\n"):
        if len(line.encode()) > BODY_LIMIT:
            *heads, line = _pieces(line)
            for head in heads:
                yield "\n".join([*part, head])
                part, size = [], 0
        if part and size + len(line.encode()) > BODY_LIMIT:
            yield "\n".join(part)
            part, size = [], 0
        part.append(line)
        size += len(line.encode()) + 1
    if part:
        yield "\n".join(part)


def _offer(
    text: _Text, message: Message, words: MatrixWords, *, prefix: str, taken: tuple[str, ...] = ()
) -> tuple[str, ...]:
    """Write the choices and the form; return the command lines of all marks, `taken` first unless
    there are too few marks for both."""
    form = None if message.form is None else _typed(message.form)
    if form is not None and form.fields:
        only = form.fields[0]
        is_line = len(form.fields) == 1 and only.rows == 1 and not only.value
        said = words.line.format(only.placeholder or only.label) if is_line else words.form
        text.say(f"{form.title}: {said}")
        text.quote(f"{prefix}{form.command} …" if is_line else _template(form, prefix))
    buttons = message.buttons[: len(KEYCAPS)]
    own = [button.command for button in buttons]
    marked = tuple(dict.fromkeys((*taken, *own)))
    if len(marked) > len(KEYCAPS):
        marked = tuple(dict.fromkeys(own))
    if not buttons:
        return marked
    text.say(words.choices)
    lines, rich = [], []
    for button in buttons:
        mark = KEYCAPS[marked.index(button.command)]
        lines.append(f"{mark} {button.label}: {prefix}{button.command}")
        command = f"<code>{html.escape(prefix + button.command)}</code>"
        rich.append(f"{mark} {_escape(button.label)}: {command}")
    text.add("\n".join(lines), f"<p>{'<br>'.join(rich)}</p>")
    return marked


def _typed(form: Form) -> Form:
    """Return a form with the fields that can be typed; a photo is sent by itself."""
    return replace(form, fields=tuple(each for each in form.fields if not each.takes_photo))


def _template(form: Form, prefix: str) -> str:
    """Return what to copy: the command, and below it the fields as they stand."""
    if len(form.fields) == 1:
        only = form.fields[0]
        if only.rows == 1:
            return f"{prefix}{form.command} {only.value}"
        return f"{prefix}{form.command}\n{only.value or only.placeholder}"
    fields = [f"{each.name}:\n{each.value or each.placeholder}" for each in form.fields]
    return "\n".join((f"{prefix}{form.command}", *fields))


def _finish(
    text: _Text, picture: Picture | None, commands: tuple[str, ...], *, is_quiet: bool
) -> Piece:
    if picture is None:
        return Piece(text.content("m.notice" if is_quiet else "m.text"), commands=commands)
    content = text.content("m.image")
    content["filename"] = picture.name
    content["info"] = {"mimetype": _PNG, "size": len(picture.shown)} | _size(picture.shown)
    return Piece(content, file=Attachment(picture.name, picture.shown, _PNG), commands=commands)


_PNG = "image/png"


def _lay_out_file(file: Attachment, *, relation: str = "") -> Piece:
    """Lay out a file as an event of its own."""
    content = {
        "msgtype": "m.file",
        "body": file.name,
        "filename": file.name,
        "info": {"mimetype": file.kind, "size": len(file.raw)},
        "m.mentions": {},
    }
    return Piece(content, file=file, relation=relation)


def _size(png: bytes) -> dict[str, int]:
    """Return a PNG's width and height: bytes 16 to 24 (PNG specification, IHDR)."""
    if png[12:16] != b"IHDR":
        return {}
    return {"w": int.from_bytes(png[16:20]), "h": int.from_bytes(png[20:24])}
