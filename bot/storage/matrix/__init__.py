"""What the Matrix room remembers, in SQLite."""

from bot.storage.matrix.journal import SqliteMatrixJournal, prune_matrix
from bot.storage.matrix.traces import erase_matrix_traces, export_matrix_traces, move_private_rooms
from bot.storage.memory import RoomMemory

__all__ = ["MEMORY", "SqliteMatrixJournal"]

MEMORY = RoomMemory(
    "matrix", erase_matrix_traces, export_matrix_traces, prune_matrix, move_private_rooms
)
