"""A double of Discord for the tests: REST and gateway, spoken to by the real library.

It knows what the service documents, answers as it does, and is strict: a request that the service
would refuse is refused here too, and remembered in `problems`, which fails the test.
"""

from tests.doubles.discord.double import TOKEN, DiscordDouble
from tests.doubles.discord.faults import Fault
from tests.doubles.discord.people import Person

__all__ = ["TOKEN", "DiscordDouble", "Fault", "Person"]
