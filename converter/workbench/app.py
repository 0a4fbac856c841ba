"""The addresses that the page asks, each a thin way into the library."""

import json
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from typing import Any
from urllib.parse import unquote

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
from converter.workbench.bench import Bench
from converter.workbench.choices import choose
from converter.workbench.figure import figure_of_glyph
from converter.workbench.letter import answer, save
from converter.workbench.opened import OpenSet
from converter.workbench.papers import make_papers, paper, told_papers, told_words
from converter.workbench.told import (
    said_act,
    said_figure,
    told_answer,
    told_block,
    told_figure,
    told_letter,
    told_set,
    told_start,
)
from converter.workbench.watching import watch

Answered = Callable[[Bench, Request, Any], Any]


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

    async def fonts(request: Request) -> Response:
        name, data = unquote(request.headers.get("x-name", "")), await request.body()
        try:
            return JSONResponse((await to_thread.run_sync(bench.drop, data, name)).told())
        except InputError as error:
            return JSONResponse({"error": str(error)}, 400)

    async def pdf(request: Request) -> Response:
        try:
            opened = _opened(bench, request)
            content = await to_thread.run_sync(paper, opened, request.path_params["name"])
        except InputError as error:
            return JSONResponse({"error": str(error)}, 404)
        policy = {"content-security-policy": "frame-ancestors 'none'"}  # the browser's own viewer has styles
        return Response(content, media_type="application/pdf", headers=policy)

    async def events(request: Request) -> Response:
        del request
        return StreamingResponse(bench.events.heard(), media_type="text/event-stream")

    return Starlette(
        routes=[
            Route("/", _page),
            Route("/page/{name}", _page),
            Route("/api/events", events),
            Route("/api/fonts", fonts, methods=["POST"]),
            at("/api/start", _start, "POST"),
            at("/api/stop", _stop, "POST"),
            at("/api/sets", _sets),
            at("/api/sets/{set}", _set),
            at("/api/sets/{set}/choices", _choices, "POST"),
            at("/api/sets/{set}/papers", _papers),
            at("/api/sets/{set}/papers/make", _make_papers, "POST"),
            Route("/api/sets/{set}/papers/{name}", pdf),
            at("/api/sets/{set}/words", _words, "POST"),
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
    return told_start(bench.shelf.all(), bench.is_one)


def _start(bench: Bench, request: Request, said: Any) -> Any:
    del request
    start = bench.start(said)
    return {"total": len(start.choice.glyphs), "missing": list(start.choice.missing)}


def _stop(bench: Bench, request: Request, said: Any) -> Any:
    del request, said
    bench.stop()
    return {}


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


def _papers(bench: Bench, request: Request, said: Any) -> Any:
    del said
    return {"papers": told_papers(_opened(bench, request))}


def _make_papers(bench: Bench, request: Request, said: Any) -> Any:
    opened = _opened(bench, request)
    make_papers(opened, said)
    return {"papers": told_papers(opened)}


def _words(bench: Bench, request: Request, said: Any) -> Any:
    return told_words(_opened(bench, request), said)


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
