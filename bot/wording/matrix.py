"""What the Matrix room says by itself, and how a member or leader is told about it."""

from __future__ import annotations

from bot.platforms.matrix.words import MatrixWords

MATRIX = MatrixWords(
    choices="React with a number, or type:",
    form="copy this, change it, and send it as one message.",
    line="type it like this, as one message ({}):",
    picture="The picture in words:",
    hidden="A step of the walkthrough, hidden as a spoiler: tap it, or type walkthrough.",
    invited="I answered you in our private room: please accept my invitation to it.",
    edited="Edits are not read. Please send it again as a new message.",
    unreadable=(
        "I could not read a message of yours: your app has not given me its key. Please send it "
        "again. If that does not help, leave this room, write to the club's room once more, and "
        "come in again when I invite you."
    ),
    unfounded="There is no club in this room yet. You can found one: {}club setup",
    powerless=(
        "One thing is missing: I may not take a message of others out of this room. A right answer "
        "that somebody types in the open counts all the same, but stays there for all to read. To "
        "change that, raise my power level in the room to {}."
    ),
    unencrypted=(
        "The room “{}” is encrypted, and I cannot encrypt here: I read nothing there, and I say "
        "nothing in it. Whoever runs me can set “encrypt = true” in the config, install the "
        "encryption (pip install 'ninebark[matrix]') and sign me in anew with “ninebark check”. Or "
        "the club can meet in a room without encryption."
    ),
    direct_name="{}: my private answers",
    direct_topic="Commands work here without a sign before them. Only you and the bot are here: {}",
)
