"""What is said about Matrix: by the room to its people, and by the command line to the host.

The room has no words of its own; it is given MATRIX.
"""

from __future__ import annotations

from collections.abc import Sequence

from bot.platforms.matrix.journal import Unread
from bot.platforms.matrix.look import MatrixLook, RoomFound
from bot.platforms.matrix.refusals import (
    AddressProblem,
    AddressWrongError,
    AnotherUserError,
    ExtraMissingError,
    PasswordRefusedError,
    ProofMissingError,
    RecoveryRefusedError,
    SessionLostError,
    SessionProblem,
    SignedOutError,
    SigningProblem,
    SigningRefusedError,
    StoreInUseError,
    TokenProblem,
    TokenRefusedError,
)
from bot.platforms.matrix.words import MatrixWords
from bot.platforms.message import RoomError, RoomUnreachableError
from bot.wording.prose import clean_text, count_of

SHOWN = 5
"""So many of the things that were set aside are shown."""

TITLE = "Matrix"
LEADERS = "anyone with power level 50"

READY = "The clubs in Matrix are open  (Ctrl-C ends it)"
WAITING = (
    "The homeserver is out of reach; the clubs in Matrix open as soon as it answers  "
    "(Ctrl-C ends it)"
)
PASSWORD_PROMPT = "Password of the bot's Matrix account (used once, not kept): "
PASSWORD_OR_BROWSER = (
    "Password of the bot's Matrix account (used once, not kept; press Enter to sign in in a "
    "browser instead): "
)
RECOVERY_PROMPT = (
    "The bot's recovery key (press Enter to go on without it: apps will then warn that the bot's "
    "identity has changed, and what it read before stays closed): "
)
SIGNED_ON = "The bot is signed in. You can close this page and go back to the terminal."

_CHECK = "ninebark check --config config.toml"
LOST = {
    SessionProblem.NONE: (
        f"The bot is not signed in to Matrix yet. Sign it in once with: {_CHECK}"
    ),
    SessionProblem.STORE: (
        "The bot's encryption keys are gone from the data folder, and its old device cannot "
        f"be used without them. Sign it in as a new one with: {_CHECK}"
    ),
    SessionProblem.USER: (
        "The sign-in in the data folder belongs to a different user from the one in the config. "
        f"Put the old user back into the config, or sign the new one in with: {_CHECK}"
    ),
    SessionProblem.HOMESERVER: (
        "The sign-in in the data folder is for a different homeserver from the one in the config. "
        f"Put the old address back into the config, or sign in again with: {_CHECK}"
    ),
}


MATRIX = MatrixWords(
    choices="React with a number, or type:",
    form="copy this, change it, and send it as one message.",
    line="type it like this, as one message ({}):",
    picture="The picture in words:",
    hidden="A step of the walkthrough, hidden as a spoiler: tap it, or type walkthrough.",
    invited="{}: I answered you in private. Please accept my invitation to a room of our own.",
    invited_many="I answered {} of you in private. Each of you has an invitation from me to a room "
    "of our own: please accept it.",
    edited="Edits are not read. Please send it again as a new message.",
    unreadable=(
        "I could not read a message of yours: your app has not given me its key. Please send it "
        "again. If that does not help, leave this room, write to the club's room once more, and "
        "come in again when I invite you."
    ),
    greeting="Hello! This is your own chat with me, for “{}”. You can type commands here without a "
    "sign in front, such as start or hint. Type help to see them all.",
    which_club="You are in more than one of my clubs. Which one is this chat for?",
    chosen="This chat is for “{}” now: type start, hint or help. To change it, type clubs.",
    no_club="Hello! I don't know you from any club yet. If you want to lead one, invite me to the "
    "room where it will meet, and type {}club setup there. If you want to join one, come into its "
    "room first.",
    declined="I open chats with members of my clubs only. Come into a club's room first, then "
    "invite me again.",
    blocked="{}, I answer in private, but your account takes no invitations from me. Please open a "
    "chat with me yourself ({}), and I will answer you there.",
    queued="Waiting for a private room with me: {}. This homeserver lets me open only a few at a "
    "time, so the last one comes in about {} minutes. If you would rather not wait, open a chat "
    "with me yourself ({}). Your clock starts when your room is there, not before.",
    queue_over="Everyone who asked me something has a private room now.",
    unreadable_chat="This chat is encrypted, and I cannot encrypt, so I can read nothing that you "
    "write here. Please open a chat with me without encryption, or type your command in the club's "
    "room with {} in front. I answer in private either way.",
    unfounded="There is no club in this room yet. You can found one: {}club setup",
    power_level="power level {}",
    give_rights="To allow it, raise my power level in the room to {}: in most apps you do that in "
    "the room's settings, under roles and permissions.",
    room_gone="Invite me to the room again.",
    move_line="club move {}",
    name_place="Name the room by its address, such as: club move #puzzles:example.org. Whoever may "
    "invite me has to bring me there first.",
    unencrypted=(
        "The room “{}” is encrypted, and I cannot encrypt here: I read nothing in it, and say "
        "nothing in it. Whoever runs me can set “encrypt = true” in the config, install the "
        "encryption (pip install 'ninebark[matrix]') and sign me in again with “ninebark check”. "
        "Or the club can meet in a room without encryption."
    ),
    link_lost="The link got lost on its way to you. Ask for another: link",
    direct_name="{}: my private answers",
    direct_topic="Here you can type commands without a sign in front. Only you and the bot are "
    "here: {}",
)


def problem(error: RoomError) -> str | None:
    """Say why the bot cannot work in Matrix; None for an error that is not of Matrix."""
    match error:
        case ExtraMissingError():
            return (
                "The config names Matrix, but the library for it is not installed. Install it "
                "with: pip install 'ninebark[matrix]' (in a checkout: '.[matrix]')"
            )
        case SignedOutError():
            return (
                "The homeserver no longer accepts the bot's sign-in: its device was signed out, "
                f"or the account was closed. Sign it in again with: {_CHECK}"
            )
        case SessionLostError():
            return LOST[error.problem]
        case ProofMissingError():
            return _proof_missing(error)
        case StoreInUseError():
            return "Another running Ninebark uses the same Matrix sign-in. Stop it first."
    return None


def open_link(link: str) -> str:
    """Ask the host to sign the bot in on the homeserver's page."""
    return (
        "Open this link in a browser, and sign in as the bot, not as yourself:\n"
        f"  {link}\n"
        "If the browser runs on another computer, it will say in the end that it can't open a page "
        "that begins with http://127.0.0.1. That's fine: copy that page's whole address from the "
        "browser, and paste it here."
    )


def approve(link: str) -> str:
    """Ask the host to let the bot have a new identity, on the homeserver's page."""
    return (
        "The bot has another cross-signing identity already. To let it have a new one, open this "
        f"link in a browser, sign in as the bot, and press Enter here when you are done:\n  {link}"
    )


def recovery_key(key: str) -> str:
    """Give the host the recovery key, which is never shown again."""
    return (
        "This is the bot's recovery key. It is shown this once, so keep it somewhere safe, away "
        "from this computer. If the data folder is ever lost, the check will ask for it, and the "
        f"bot gets its identity and its keys back:\n  {key}"
    )


def recovered(count: int) -> str:
    """Say what the recovery key brought back."""
    return f"The bot has its old identity back, and {count_of(count, 'key')} to encrypted messages."


def _proof_missing(error: ProofMissingError) -> str:
    token = "put an access token for it into NINEBARK_MATRIX_TOKEN"
    if error.password:
        return (
            "The bot has to be signed in to Matrix, and no password was given. Put it into "
            f"NINEBARK_MATRIX_PASSWORD, or run the check where you can type it. Or {token}."
        )
    if error.browser:
        return (
            "This homeserver takes no passwords: the bot is signed in on its page in a browser. "
            f"Run the check in a terminal, and it will give you the link. Or {token}."
        )
    return (
        "This homeserver takes no passwords, and offers no page to sign in on that the bot can "
        f"use. Sign the bot in with an app that it does take, and {token}."
    )


ADDRESS_WRONG = {
    AddressProblem.NO_HOMESERVER: (
        "There is no Matrix homeserver at {}, and nothing there says where it is. Check "
        "`homeserver` in the config; your Matrix app shows the right address in its settings. "
        'Example: homeserver = "https://matrix.example.org"'
    ),
    AddressProblem.NAMES_NONE: (
        "The page {}/.well-known/matrix/client should say where the homeserver is, and it holds no "
        "address that can be used. Put the homeserver's own address into the config. "
        'Example: homeserver = "https://matrix.example.org"'
    ),
    AddressProblem.NAMES_WRONG: (
        "The address in the config says that its homeserver is at {}, and there is none there. Ask "
        "whoever runs it, or put the homeserver's own address into the config. "
        'Example: homeserver = "https://matrix.example.org"'
    ),
}

TOKEN_REFUSED = {
    TokenProblem.REFUSED: (
        "The homeserver does not accept that token: it was mistyped, used already, or signed out. "
        "Get a new one, and try again."
    ),
    TokenProblem.NO_DEVICE: (
        "That access token belongs to no device, so nothing could be encrypted with it. Sign the "
        "bot in anew with an app or with the password, and use the token of that device."
    ),
    TokenProblem.IN_USE: (
        "The device of that access token has encryption keys in another app already, and two "
        "programs with one device lose messages. Make a token for a new device, one that no app "
        "uses, and put that into NINEBARK_MATRIX_TOKEN."
    ),
}


def check_failed(error: RoomError) -> str:
    """Say what kept `ninebark check` from signing in or looking around."""
    said = problem(error)
    if said is not None:
        return said
    match error:
        case PasswordRefusedError():
            return "The homeserver does not accept this user name and password. Try again."
        case AddressWrongError():
            return ADDRESS_WRONG[error.problem].format(error.address)
        case TokenRefusedError():
            return TOKEN_REFUSED[error.problem]
        case AnotherUserError():
            return (
                f"That signs in {clean_text(error.user_id, 80) or 'somebody else'}, not the user "
                "in the config. Sign in as the bot, or put the right user into the config."
            )
        case RecoveryRefusedError():
            return (
                "That is not the bot's recovery key: it is mistyped, or a newer one has taken its "
                f"place. Run the check again: {_CHECK}. Without the key, just press Enter there."
            )
        case SigningRefusedError(problem=SigningProblem.PASSWORD):
            return (
                "The bot has another cross-signing identity already, and replacing it needs its "
                "recovery key or password. Example: NINEBARK_MATRIX_PASSWORD=… " + _CHECK
            )
        case SigningRefusedError():
            return "The homeserver did not accept the signature on the bot's device. Try again."
        case RoomUnreachableError():
            return (
                f"The homeserver could not be reached just now ({error}). Check its address in the "
                "config, or try again in a while."
            )
    return f"The homeserver refused: {error}"


def tell_look(found: MatrixLook, *, is_signed: bool, limits: int) -> list[str]:
    """Say what `ninebark check` found, a line each."""
    lines = [f"Matrix: signed in as {found.user_id}, device {found.device_id}."]
    if not found.is_encrypting:
        lines.append("Encryption is off: in encrypted rooms the bot says nothing.")
    elif is_signed:
        lines.append("Encryption works, and the bot's identity has signed its device.")
    else:
        lines.append("Encryption works, but the bot's device is not signed: run the check again.")
    if found.is_encrypting and is_signed and not found.has_recovery:
        lines.append(
            "No recovery key was made here. Run the check in a terminal to get one, unless the "
            "bot's account has one from another app."
        )
    lines += [_place(place) for place in found.places]
    if found.invitations:
        who = ", ".join(clean_text(each, 80) for each in found.invitations)
        lines.append(f"Open invitations by: {who}. They are answered while the bot runs.")
    if limits:
        lines.append(
            f"The homeserver has made the bot slow down {count_of(limits, 'time')}. An admin can "
            "lift its limit: POST /_synapse/admin/v1/users/USER/override_ratelimit on Synapse."
        )
    return lines


def unreadable(count: int, kept: Sequence[Unread]) -> list[str]:
    """Say what was set aside, the newest first; nothing where all could be read."""
    if not count:
        return []
    return [
        f"Something that could not be read came in from Matrix {count_of(count, 'time')}. It was "
        "set aside, and did no harm. The newest:",
        *(_unread(each) for each in kept[:SHOWN]),
    ]


def _unread(each: Unread) -> str:
    thing = each.thing
    by = f" by {clean_text(thing.sender, 80)}" if thing.sender else ""
    return (
        f"- in {clean_text(thing.place, 80)}{by}: {clean_text(thing.problem, 60)} "
        f"({count_of(each.times, 'time')}, last on {each.last_at:%Y-%m-%d at %H:%M} UTC)"
    )


def _place(place: RoomFound) -> str:
    if not place.is_there:
        return (
            f"Room {place.room_id}: the bot is not in it. Let one of `inviters` or a leader invite "
            "it there while it runs."
        )
    what = "encrypted" if place.is_encrypted else "not encrypted"
    where = f"Room “{clean_text(place.title, 60)}” ({what})"
    if not place.may_post:
        return f"{where}: the bot may not write there. Give it power level 50."
    if not place.may_redact:
        return (
            f"{where}: the bot may write, but may not remove answers typed in the open. Give it "
            "power level 50."
        )
    return f"{where}: all is well."
