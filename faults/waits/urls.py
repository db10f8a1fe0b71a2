"""Addresses of whose move it is, and of who goes when."""

from django.urls import URLPattern, path

from faults.waits.views import whose
from faults.work.views import board

moves_patterns: list[URLPattern] = [
    path("moves/", whose.moves, name="moves"),
    path("moves/board/", board.board, name="board"),
    path("jobs/<ref:ref>/board/move/", board.board_move, name="board_move"),
    path("jobs/<ref:ref>/board/split/", board.board_split, name="board_split"),
    path("jobs/<ref:ref>/board/lock/", board.board_lock, name="board_lock"),
    path("jobs/<ref:ref>/board/unlock/", board.board_unlock, name="board_unlock"),
]
