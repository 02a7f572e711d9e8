"""The club's room as a page, which listens on this machine only: no account, no login.

People choose a name when they enter; the same name is the same member in any tab. What is said
and answered is kept in the room's log, so a tab that comes back, or a room that restarts, shows it
again. An act has the id of the page's own line, so one that is sent again is answered once. This
file knows its library, the log's port and `message`; it never looks into what is said.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path

from aiohttp import web
from msgspec import structs

from bot.platforms.boards import NotOfThisBoardError
from bot.platforms.links import Holder, Links
from bot.platforms.message import Answerer, Incoming, Message, RoomError, RoomGoneError
from bot.platforms.web.address import Site, loopback_site
from bot.platforms.web.asking import Asking
from bot.platforms.web.board_desk import BoardDesk
from bot.platforms.web.door import PLATFORM, Door, NotLetInError, PageClubs, Visitor
from bot.platforms.web.fixed import FixedRooms
from bot.platforms.web.frames import (
    Act,
    Done,
    Enter,
    Entered,
    EntryBody,
    Once,
    Ready,
    Refused,
    Touch,
    link_body,
    parse_body,
)
from bot.platforms.web.front import Listening
from bot.platforms.web.gate import (
    BODY_LIMIT,
    HEAD_SECONDS,
    LINGER_SECONDS,
    SERVER_LOG,
    SOCKET,
    Gate,
)
from bot.platforms.web.guard import FRAME_LIMIT, opaque_id, parse_loopback
from bot.platforms.web.linked import LinkPages
from bot.platforms.web.log import LogEntry, RoomLog
from bot.platforms.web.pace import MemberPaces
from bot.platforms.web.pages import Pages
from bot.platforms.web.photos import PhotoShelf
from bot.platforms.web.refusals import AddressTakenError, WebProblem
from bot.platforms.web.socket import Tab
from bot.platforms.web.timeline import Timeline
from bot.platforms.web.words import WebWords

HEARTBEAT_SECONDS = 20.0

_log = logging.getLogger(__name__)


class WebRoom(FixedRooms):
    """The Room of `bot.platforms.message`, served by aiohttp."""

    platform = PLATFORM
    offers_themes = True

    def __init__(
        self,
        clubs: PageClubs,
        *,
        at: Listening,
        shipped: Path,
        log: RoomLog,
        now: Callable[[], datetime],
        token: Callable[[], str],
        words: WebWords,
    ) -> None:
        self._address = parse_loopback(at.host)
        self._port = at.port
        self._clubs = clubs
        self._front = at.front
        self._door = Door(clubs, words.names, is_public=at.front is not None)
        self._gate = Gate(self._site, at.front, now, words.gate)
        self._words = words
        super().__init__(words.rooms_stay)
        self._now = now
        self._paces = MemberPaces(now)
        self._timeline = Timeline(log, token())
        self._pages = Pages(shipped, log, clubs.titles, words.guides)
        self._tabs: set[Tab] = set()
        self._photos = PhotoShelf(is_open=clubs.takes_photos)
        self._boards = BoardDesk(clubs.boards, self._may_see, self._timeline.body_of)
        self._links = self._open_links(clubs.links)
        self._answer: Answerer | None = None
        self._runner: web.AppRunner | None = None
        self._is_stopping = False

    @property
    def url(self) -> str:
        """Where the page listens; with port 0 it is known once the room has started."""
        literal = f"[{self._address}]" if ":" in self._address else self._address
        return f"http://{literal}:{self._port}/"

    async def start(self, answer: Answerer) -> None:
        """Listen at the address, on a free port where 0 was asked for.

        Raises AddressTakenError where it cannot be opened.
        """
        self._answer = answer
        self._is_stopping = False
        app = web.Application(middlewares=self._gate.guards(), client_max_size=BODY_LIMIT)
        app.on_response_prepare.append(self._gate.add_headers)
        app.add_routes(self._pages.routes())
        room_routes = (*self._pages.room_routes(), (SOCKET, self._serve_tab))
        if self._links is not None:
            app.add_routes([*self._links.routes(), *self._links.for_members(room_routes)])
        else:
            app.add_routes([web.get(path, serve) for path, serve in room_routes])
            app.add_routes(self._photos.routes())
        runner = web.AppRunner(
            app,
            access_log=None,
            logger=SERVER_LOG,
            shutdown_timeout=2.0,
            keepalive_timeout=HEAD_SECONDS,
            lingering_time=LINGER_SECONDS,
        )
        await runner.setup()
        try:
            await web.TCPSite(runner, self._address, self._port).start()
        except OSError:
            await runner.cleanup()
            raise AddressTakenError(self._address, self._port) from None
        self._runner = runner
        self._port = runner.addresses[0][1]

    async def stop(self) -> None:
        """Answer what is under way, close every tab, and let go of the port."""
        self._is_stopping = True
        await asyncio.gather(*(tab.finish() for tab in tuple(self._tabs)))
        await self._boards.stop()
        if self._runner is not None:
            await self._runner.cleanup()
            self._runner = None

    async def ended(self) -> None:
        """Wait without end: nobody can refuse a page of our own."""
        await asyncio.Event().wait()

    async def post(
        self, room_id: str, message: Message, *, key: str, may_wait: bool = False
    ) -> str:
        """Add a post for everyone, once per key; its reference is its id in the timeline."""
        self._require(room_id)
        body = EntryBody(self._stamp(), (await self._timeline.body_of(message),))
        return str(await self._timeline.append(room_id, None, "post", body, f"post:{key}"))

    async def find_post(self, room_id: str, key: str) -> str | None:
        """Return the reference of the post with this key, None where there is none."""
        self._require(room_id)
        found = await self._timeline.find(room_id, f"post:{key}")
        return None if found is None else str(found)

    async def stamp_of(self, room_id: str, reference: str) -> datetime | None:
        """Return when a post was added. Raises RoomError where the reference means none."""
        entry = await self._load(room_id, reference, "post")
        return datetime.fromisoformat(parse_body(entry.body).at)

    async def edit(self, room_id: str, reference: str, message: Message, *, key: str) -> str:
        """Replace a post in its place, its stamp kept. Raises RoomError where there is none."""
        entry = await self._load(room_id, reference, "post", "thread")
        shown = (await self._timeline.body_of(message),)
        await self._timeline.replace(entry, structs.replace(parse_body(entry.body), messages=shown))
        return reference

    async def post_thread(
        self, room_id: str, reference: str, title: str, messages: tuple[Message, ...], *, key: str
    ) -> str:
        """Add a thread under a post as one entry, once per key.

        Raises RoomError where there is no post.
        """
        entry = await self._load(room_id, reference, "post")
        bodies = [await self._timeline.body_of(message) for message in messages]
        body = EntryBody(self._stamp(), tuple(bodies), under=entry.id, title=title)
        return str(await self._timeline.append(room_id, None, "thread", body, f"thread:{key}"))

    async def post_under(
        self, room_id: str, reference: str, title: str, message: Message, *, key: str
    ) -> str:
        """Add a thread of one message under a post, open to see, once per key.

        Raises RoomError where there is no post.
        """
        entry = await self._load(room_id, reference, "post")
        shown = (await self._timeline.body_of(message),)
        body = EntryBody(self._stamp(), shown, under=entry.id, title=title, is_open=True)
        return str(await self._timeline.append(room_id, None, "thread", body, f"post:{key}"))

    async def tell(self, room_id: str, user_id: str, message: Message, *, key: str) -> str:
        """Add a private line for one person, once per key; one who is away finds it on coming
        back."""
        self._require(room_id)
        body = EntryBody(self._stamp(), (await self._timeline.body_of(message),))
        own_key = f"tell:{opaque_id(room_id, user_id)}:{key}"
        return str(await self._timeline.append(room_id, user_id, "told", body, own_key))

    async def remove(self, room_id: str, message_id: str) -> bool:
        """Empty a line that a person said in the open; False where there is no such line."""
        self._require(room_id)
        entry = await self._timeline.load(room_id, message_id, "said")
        if entry is None:
            return False
        # The words go, the key stays: the same line delivered again must not show it once more.
        await self._timeline.replace(entry, EntryBody(parse_body(entry.body).at, is_gone=True))
        return True

    # --- tabs ---

    def _open_links(self, links: Links | None) -> LinkPages | None:
        if links is None:
            return None
        links.watch(self._boards.note)
        photos = self._photos if self._clubs.takes_photos else None
        pages = self._pages
        return LinkPages(links, pages.board_page(), pages.door_page(), self._serve_tab, photos)

    async def _serve_tab(
        self, request: web.Request, holder: Holder | None = None
    ) -> web.StreamResponse:
        with self._paces.tabs.place("" if holder is None else holder.link_id) as is_free:
            if self._is_stopping or not is_free:
                return web.Response(status=503, text=self._words.full)
            return await self._serve_socket(request, holder)

    async def _serve_socket(
        self, request: web.Request, holder: Holder | None
    ) -> web.StreamResponse:
        socket = web.WebSocketResponse(
            timeout=2.0, heartbeat=HEARTBEAT_SECONDS, max_msg_size=FRAME_LIMIT, compress=False
        )
        await socket.prepare(request)
        tab = Tab(socket, self._now, self._paces)
        self._tabs.add(tab)
        tab.start(self._hear)
        try:
            is_linked = holder is not None and holder.day
            await (self._follow_linked if is_linked else self._follow)(tab, holder)
            await tab.settle()
        finally:
            self._timeline.leave(tab)
            self._tabs.discard(tab)
            self._boards.leave(tab)
            await tab.close()
        return socket

    async def _follow(self, tab: Tab, holder: Holder | None) -> None:
        async for frame, at in tab.read():
            if self._is_stopping:
                continue  # the page sends it again to whoever comes after us
            if isinstance(frame, Enter):
                await self._enter(tab, frame, holder)
            elif tab.visitor is None:
                tab.tell(Refused(WebProblem.ENTER_FIRST, frame.id))
            else:
                tab.take(frame, at)

    async def _enter(self, tab: Tab, enter: Enter, holder: Holder | None) -> None:
        if tab.visitor is not None:
            tab.tell(Refused(WebProblem.MALFORMED))
            return
        try:
            title = await self._clubs.title_of(enter.room if holder is None else holder.room_id)
            if holder is None:
                visitor = await self._door.let_in(enter, title, self._present())
            else:
                visitor = self._door.let_in_invited(holder)
            tab.visitor = visitor
        except NotLetInError as refusal:
            tab.tell(Refused(refusal.problem))
            return
        # A tab that was opened in time may come in too late.
        if not await self._may_see(tab):
            return
        tab.tell(
            Entered(
                title=title,
                name=visitor.name,
                leads=visitor.leads,
                epoch=self._timeline.epoch,
                no=self._timeline.position(),
                is_fresh=not self._timeline.can_resume(enter.epoch, enter.last),
                photos=self._photos.key_of(visitor.who),
            )
        )
        await self._boards.show(tab)
        await self._timeline.join(tab, enter.epoch, enter.last)
        tab.tell(Ready())

    async def _follow_linked(self, tab: Tab, holder: Holder | None) -> None:
        """Show a board to who came by a link, and take what acts on it; all else is refused."""
        assert holder is not None, "a board alone is shown to who came by a link"
        visitor = tab.visitor = self._door.let_in_by(holder)
        key = self._photos.key_of(visitor.who)
        tab.tell(Entered(holder.title, holder.name, False, self._timeline.epoch, 0, True, key))
        await self._boards.show(tab)
        tab.tell(Ready())
        async for frame, at in tab.read():
            if self._is_stopping:
                continue
            if isinstance(frame, Touch) and tab.visitor is not None:
                tab.take(frame, at)
            else:
                tab.tell(Refused(WebProblem.ELSEWHERE, getattr(frame, "id", "")))

    async def _may_see(self, tab: Tab) -> bool:
        """Tell whether a tab may still be shown anything; one that may not is told why."""
        return tab.visitor is not None if self._links is None else await self._links.is_good(tab)

    def _present(self) -> Iterator[Visitor]:
        """Yield who is in any room at the moment that this is read: others come meanwhile."""
        for tab in self._tabs:
            if tab.visitor is not None and not tab.visitor.is_linked:
                yield tab.visitor

    async def _hear(self, tab: Tab, act: Act | Touch, at: datetime) -> None:
        """Show an act where it belongs, have it answered, and show the answers."""
        try:
            if not await self._may_see(tab):
                return
            if isinstance(act, Touch):
                await self._touch(tab, act, at)
                return
            entries = await self._answer_act(tab, act, at)
        except NotOfThisBoardError:
            tab.tell(Refused(WebProblem.ELSEWHERE, act.id))
        except Exception:
            # The act was not answered; the page keeps the line, and sending it again is safe.
            _log.exception("an act in room %s could not be answered", tab.room_id)
            tab.tell(Refused(WebProblem.FAILED, act.id))
        else:
            tab.tell(Done(act.id, entries))
        finally:
            if tab.visitor is not None:
                self._photos.let_go(self._photos.key_of(tab.visitor.who), act.id)

    async def _touch(self, tab: Tab, touch: Touch, at: datetime) -> None:
        if self._clubs.boards is None:
            tab.tell(Refused(WebProblem.MALFORMED, touch.id))
            return
        assert tab.visitor is not None, "only who has entered is heard"
        await self._boards.touch(tab, touch.id, self._admit(tab.visitor, touch, at))

    def _admit(self, visitor: Visitor, act: Act | Touch, at: datetime) -> Incoming:
        photo = self._photos.photo_of(visitor.who, act.id, act.photo)
        return self._door.admit(visitor, act, at, photo)

    async def _answer_act(self, tab: Tab, act: Act, at: datetime) -> tuple[int, ...]:
        assert self._answer is not None, "a tab cannot be served before the start"
        assert tab.visitor is not None, "only who has entered is heard"
        asking = Asking(self._timeline, tab.visitor, self._stamp)
        pressed = None if act.open else await asking.answer_under(act.under)
        incoming = self._admit(tab.visitor, act, at)
        if pressed is None:
            incoming = await asking.show_line(incoming, is_open=act.open)
        answers = await self._answer(incoming)
        told = await asking.show_answers(incoming, answers, pressed)
        for entry_id, answer in zip(told, answers, strict=True):
            if answer.link is not None:
                tab.tell(Once(entry_id, link_body(answer.link)))
        return told

    # --- small things ---

    def _site(self) -> Site:
        if self._front is not None:
            return self._front.address.site
        return loopback_site(self._address, self._port)

    def _stamp(self) -> str:
        return self._now().isoformat()

    def _require(self, room_id: str) -> None:
        if room_id not in self._clubs.places:
            raise RoomGoneError(f"the page has no room {room_id!r}")

    async def _load(self, room_id: str, reference: str, *kinds: str) -> LogEntry:
        self._require(room_id)
        entry = await self._timeline.load(room_id, reference, *kinds)
        if entry is None:
            raise RoomError(f"room {room_id!r} has no {kinds[0]} {reference!r}")
        return entry
