"""The addresses that the page asks, each a thin way into the library."""

import json
from collections.abc import AsyncIterator, Callable
from concurrent.futures import Executor
from contextlib import asynccontextmanager
from typing import Any

import anyio
from anyio import to_thread
from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response, StreamingResponse
from starlette.routing import Route

from converter.errors import InputError
from converter.output import digest
from converter.workbench.assets import asset
from converter.workbench.choices import choose
from converter.workbench.events import Events
from converter.workbench.figure import figure_of_glyph
from converter.workbench.letter import Letter, answer, cut, open_letter, save
from converter.workbench.opened import OpenSet, State
from converter.workbench.shelf import Shelf
from converter.workbench.told import (
    said_act,
    said_figure,
    told_answer,
    told_block,
    told_figure,
    told_letter,
    told_set,
)
from converter.workbench.watching import watch

Answered = Callable[["Bench", Request, Any], Any]


class Bench:
    """What all requests share. ``executor`` gives the processes that many letters are made in."""

    def __init__(self, shelf: Shelf, executor: Callable[[], Executor]) -> None:
        self.shelf, self.events, self._executor = shelf, Events(), executor
        self._letters: dict[tuple[str, str], tuple[State, Letter]] = {}

    def letter(self, opened: OpenSet, key: str) -> Letter:
        """A letter, kept until the set changes."""
        state = opened.state()
        kept = self._letters.get((opened.id, key))
        if kept is None or kept[0] is not state:
            kept = self._letters[opened.id, key] = state, open_letter(state, key)
        return kept[1]

    def warm_up(self) -> None:
        """Cuts one block, so that what is compiled is ready before the first drag."""
        for opened in self.shelf.all()[:1]:
            for glyph in opened.state().pattern.glyphs[:1]:
                letter = self.letter(opened, glyph.key)
                if letter.drawn:
                    cut(letter, letter.drawn)

    def processes(self, letters: int) -> Executor | None:
        """Processes for so many letters; None where it is not worth it."""
        return self._executor() if letters > 2 else None


def new_app(bench: Bench) -> Starlette:
    """The app behind the guard."""

    @asynccontextmanager
    async def living(app: Starlette) -> AsyncIterator[None]:
        del app
        async with anyio.create_task_group() as group:
            group.start_soon(to_thread.run_sync, bench.warm_up)
            group.start_soon(watch, bench.shelf, bench.events)
            yield
            group.cancel_scope.cancel()

    def at(path: str, answered: Answered, method: str = "GET") -> Route:
        async def endpoint(request: Request) -> Response:
            said = _parsed(await request.body()) if method == "POST" else None
            try:
                return JSONResponse(await to_thread.run_sync(answered, bench, request, said))
            except InputError as error:
                return JSONResponse({"error": str(error)}, 400)

        return Route(path, endpoint, methods=[method])

    async def events(request: Request) -> Response:
        del request
        return StreamingResponse(bench.events.heard(), media_type="text/event-stream")

    return Starlette(
        routes=[
            Route("/", _page),
            Route("/page/{name}", _page),
            Route("/api/events", events),
            at("/api/sets", _sets),
            at("/api/sets/{set}", _set),
            at("/api/sets/{set}/choices", _choices, "POST"),
            at("/api/sets/{set}/letters/{key}", _letter),
            at("/api/sets/{set}/letters/{key}/converter", _converters),
            at("/api/sets/{set}/letters/{key}/try", _try, "POST"),
            at("/api/sets/{set}/letters/{key}/save", _save, "POST"),
        ],
        lifespan=living,
    )


async def _page(request: Request) -> Response:
    found = asset(request.path_params.get("name", "index.html"))
    if found is None:
        raise HTTPException(404)
    content, kind = found
    return Response(content, media_type=kind)


def _parsed(body: bytes) -> Any:
    try:
        return json.loads(body)
    except (ValueError, RecursionError):
        raise HTTPException(400) from None


def _opened(bench: Bench, request: Request) -> OpenSet:
    return bench.shelf.get(request.path_params["set"])


def _sets(bench: Bench, request: Request, said: Any) -> Any:
    del request, said
    return [
        {
            "id": opened.id,
            "title": opened.title,
            "folder": str(opened.folder),
            "characters": len(opened.state().pattern.glyphs),
            "counts": opened.state().pattern.counts(),
        }
        for opened in bench.shelf.all()
    ]


def _set(bench: Bench, request: Request, said: Any) -> Any:
    del said
    return told_set(_opened(bench, request))


def _choices(bench: Bench, request: Request, said: Any) -> Any:
    opened = _opened(bench, request)
    try:
        changes = {str(name): dict(own) for name, own in said["changes"].items()}
        given_up = [str(key) for key in said.get("givenUp", ())]
    except (TypeError, KeyError, AttributeError, ValueError):
        raise InputError("The page sent no choice; load it again.") from None
    done = choose(
        opened,
        changes,
        given_up,
        bench.processes(len(changes)),
        lambda made: bench.events.tell("made", set=opened.id, name=made.glyph.name),
    )
    bench.events.tell("changed", set=opened.id)
    return {"changed": done}


def _letter(bench: Bench, request: Request, said: Any) -> Any:
    del said
    opened, key = _opened(bench, request), request.path_params["key"]
    letter = bench.letter(opened, key)
    return told_letter(opened, key, letter, digest(opened.drawings().get(key, b"")))


def _converters(bench: Bench, request: Request, said: Any) -> Any:
    """The figure that the converter drew, whatever was made of it since."""
    del said
    opened, key = _opened(bench, request), request.path_params["key"]
    return {"figure": told_figure(opened.converters_figure(key))}


def _try(bench: Bench, request: Request, said: Any) -> Any:
    opened, key = _opened(bench, request), request.path_params["key"]
    letter, pattern = bench.letter(opened, key), opened.state().pattern
    act, reach = said_act(said.get("act") if isinstance(said, dict) else None)
    return told_answer(pattern, answer(letter, said_figure(said.get("figure"), pattern.fabrics), act, reach))


def _save(bench: Bench, request: Request, said: Any) -> Any:
    opened, key = _opened(bench, request), request.path_params["key"]
    if not isinstance(said, dict) or not isinstance(said.get("known"), str):
        raise InputError("The page sent no figure; load it again.")
    pattern = opened.state().pattern
    figure = said_figure(said.get("figure"), pattern.fabrics)
    saved = save(opened, key, figure, said["known"], bool(said.get("instead")))
    told = {"known": saved.known, "keptAs": saved.kept_as, "block": told_block(pattern, saved.mine)}
    if saved.theirs is not None:
        return told | {
            "theirs": told_block(pattern, saved.theirs),
            "figure": told_figure(figure_of_glyph(saved.theirs)),
        }
    bench.events.tell("changed", set=opened.id, key=key)
    return told
