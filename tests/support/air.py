"""What lies between phones and laptop: carries every connection on, and slows, tears or swallows when it is told to.

Run as a program in a network namespace of its own, where it stands at the laptop's address; its commands come as JSON
lines on standard input, each is answered by one on standard output, and it ends with the input. Standard library only.
"""

from __future__ import annotations

import argparse
import asyncio
import contextlib
import json
import os
import sys
from dataclasses import asdict, dataclass, fields
from typing import Any

CHUNK_BYTES = 32 * 1024
# What a page says about itself is nobody's answer to wait for.
UNMARKED = (b"POST /waiting/",)


@dataclass
class Weather:
    """How it is between one phone and the laptop now, and what came of it so far."""

    lose: int = 0  # answers to posts that are still to be swallowed, after the laptop gave them
    tear: int = 0  # posts that are still to be cut off
    tear_after_bytes: int = 20_000
    delay_s: float = 0.0
    bytes_per_s: float = 0.0  # 0: as fast as it goes
    posts: int = 0
    lost: int = 0
    torn: int = 0


class Air:
    """All connections, by phone."""

    def __init__(self, here: tuple[str, int], laptop: tuple[str, int]) -> None:
        self.here = here
        self.laptop = laptop
        self.weather: dict[str, Weather] = {}
        self.server: asyncio.Server | None = None
        # The loop itself holds what it runs by weak references only.
        self.carrying: set[asyncio.Task[None] | None] = set()

    def of(self, phone: str) -> Weather:
        """The weather of one phone, by its address."""
        return self.weather.setdefault(phone, Weather())

    async def obey(self, command: dict[str, Any]) -> dict[str, Any]:
        """Do one command and say how things stand."""
        if "listen" in command:
            await self._listen(command["listen"])
        if "phone" in command:
            weather = self.of(command["phone"])
            for field in fields(Weather):
                if field.name in command:
                    setattr(weather, field.name, command[field.name])
        return {phone: asdict(weather) for phone, weather in self.weather.items()}

    async def _listen(self, on: bool) -> None:
        """Take connections, or have them refused as by a laptop on which nothing serves."""
        if on and self.server is None:
            self.server = await asyncio.start_server(self._carry, *self.here, backlog=128)
        elif not on and self.server is not None:
            self.server.close()
            self.server = None

    async def _carry(self, reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        self.carrying.add(asyncio.current_task())
        weather = self.of(writer.get_extra_info("peername")[0])
        try:
            up_reader, up_writer = await asyncio.open_connection(*self.laptop)
        except OSError:
            writer.transport.abort()
            self.carrying.discard(asyncio.current_task())
            return
        link = Link(weather, writer, up_writer)
        both = [asyncio.ensure_future(link.up(reader)), asyncio.ensure_future(link.down(up_reader))]
        try:
            await asyncio.gather(*both)
        except (OSError, Cut):
            writer.transport.abort()
            up_writer.transport.abort()
        finally:
            for one in both:
                one.cancel()
            await asyncio.gather(*both, return_exceptions=True)
            writer.close()
            up_writer.close()
            self.carrying.discard(asyncio.current_task())


class Cut(Exception):
    """The connection ends here."""


class Link:
    """One connection through the air."""

    def __init__(self, weather: Weather, phone: asyncio.StreamWriter, laptop: asyncio.StreamWriter) -> None:
        self.weather = weather
        self.phone = phone
        self.laptop = laptop
        self.losing = False
        self.left: int | None = None

    async def up(self, reader: asyncio.StreamReader) -> None:
        """From phone to laptop."""
        while data := await reader.read(CHUNK_BYTES):
            # A browser begins a request only after the last answer, so a new one begins a chunk.
            if data.startswith(b"POST ") and not data.startswith(UNMARKED):
                self._post_begins()
            await self._pass(data, self.laptop)
        self.laptop.write_eof()

    def _post_begins(self) -> None:
        self.weather.posts += 1
        self.losing, self.left = False, None
        if self.weather.lose:
            self.weather.lose -= 1
            self.losing = True
        elif self.weather.tear:
            self.weather.tear -= 1
            self.left = self.weather.tear_after_bytes

    async def down(self, reader: asyncio.StreamReader) -> None:
        """From laptop to phone."""
        while data := await reader.read(CHUNK_BYTES):
            self.left = None
            if self.losing:
                self.weather.lost += 1
                raise Cut
            await self._pass(data, self.phone)
        with contextlib.suppress(OSError):
            self.phone.write_eof()

    async def _pass(self, data: bytes, writer: asyncio.StreamWriter) -> None:
        if self.weather.delay_s:
            await asyncio.sleep(self.weather.delay_s)
        if self.weather.bytes_per_s:
            await asyncio.sleep(len(data) / self.weather.bytes_per_s)
        if writer is self.laptop and self.left is not None:
            data, self.left = data[: self.left], self.left - len(data)
            if self.left < 0:
                writer.write(data)
                self.weather.torn += 1
                raise Cut
        writer.write(data)
        await writer.drain()


async def stay(air: Air) -> None:
    """Obey until nobody gives commands any more."""
    loop = asyncio.get_running_loop()
    commands = asyncio.StreamReader()
    await loop.connect_read_pipe(lambda: asyncio.StreamReaderProtocol(commands), sys.stdin)
    while line := await commands.readline():
        answer = await air.obey(json.loads(line))
        sys.stdout.write(json.dumps(answer) + "\n")
        sys.stdout.flush()
    # Connections may be at any point, and there is nothing to keep.
    os._exit(0)


def main() -> None:
    """Where to stand, and where the laptop really is."""
    parser = argparse.ArgumentParser()
    parser.add_argument("here")
    parser.add_argument("laptop")
    parser.add_argument("port", type=int)
    words = parser.parse_args()
    asyncio.run(stay(Air((words.here, words.port), (words.laptop, words.port))))


if __name__ == "__main__":
    main()
