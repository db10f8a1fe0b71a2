"""A line to PostgreSQL that can be cut and made silent: `python -m tests.bench.kills.relay`.

    ... relay PORT TARGET_PORT        both on 127.0.0.1

Reads orders from its standard input, one a line: `cut SECONDS` drops what is connected and refuses
what comes; `silent SECONDS` takes what is asked, lets no answer through, and drops all at the end:
who asks cannot tell whether it was done.
"""

import asyncio
import sys
from asyncio import StreamReader, StreamWriter

PIECE_BYTES = 65_536


class Relay:
    """Pipes both ways between whoever connects and one port."""

    def __init__(self, target: int) -> None:
        self._target = target
        self._open: set[StreamWriter] = set()
        self._is_cut = False
        self._answers_pass = asyncio.Event()
        self._answers_pass.set()

    async def connect(self, reader: StreamReader, writer: StreamWriter) -> None:
        """Serve one connection until either side ends it."""
        if self._is_cut:
            _drop(writer)
            return
        try:
            there, to_there = await asyncio.open_connection("127.0.0.1", self._target)
        except OSError:
            _drop(writer)
            return
        ends = {writer, to_there}
        self._open |= ends
        pipes = [
            asyncio.ensure_future(self._pipe(reader, to_there, are_answers=False)),
            asyncio.ensure_future(self._pipe(there, writer, are_answers=True)),
        ]
        # Nobody hears the rest: both ends go as soon as one is gone.
        await asyncio.wait(pipes, return_when=asyncio.FIRST_COMPLETED)
        for pipe in pipes:
            pipe.cancel()
        for end in ends:
            _drop(end)
        self._open -= ends

    async def _pipe(self, reader: StreamReader, writer: StreamWriter, *, are_answers: bool) -> None:
        try:
            while piece := await reader.read(PIECE_BYTES):
                if are_answers:
                    await self._answers_pass.wait()
                writer.write(piece)
                await writer.drain()
        except OSError:
            return

    async def order(self, word: str, seconds: float) -> None:
        """Cut the line or make it silent for a while."""
        if word == "silent":
            self._answers_pass.clear()
            await asyncio.sleep(seconds)
        self._is_cut = word == "cut"
        for end in list(self._open):
            _drop(end)
        if word == "cut":
            await asyncio.sleep(seconds)
        self._is_cut = False
        self._answers_pass.set()


def _drop(writer: StreamWriter) -> None:
    """End a connection without saying what was not said yet."""
    writer.transport.abort()


async def _serve(port: int, target: int) -> None:
    relay = Relay(target)
    await asyncio.start_server(relay.connect, "127.0.0.1", port)
    orders = StreamReader()
    await asyncio.get_running_loop().connect_read_pipe(
        lambda: asyncio.StreamReaderProtocol(orders), sys.stdin
    )
    print("listens", flush=True)
    while line := await orders.readline():
        word, seconds = line.decode().split()
        await relay.order(word, float(seconds))
        print(f"was {word}", flush=True)


if __name__ == "__main__":
    asyncio.run(_serve(int(sys.argv[1]), int(sys.argv[2])))
