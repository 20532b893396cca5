"""How far long work is: as it stands, and as it goes on."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator

from fastapi import APIRouter
from fastapi.sse import EventSourceResponse
from pydantic import BaseModel, ConfigDict

from causeline.model.library import State
from causeline.web.desk import OfDesk, Who
from causeline.web.jobs import Job

router = APIRouter()
LOOK_S = 0.25


class JobTold(BaseModel):
    """One piece of work, as far as it is."""

    model_config = ConfigDict(frozen=True)

    id: str
    what: str
    state: State
    stage: str
    done: int
    total: int
    error: str


def told(job: Job) -> JobTold:
    """A job as its contract has it."""
    return JobTold(
        id=job.id,
        what=job.what,
        state=job.state,
        stage=job.stage,
        done=job.done,
        total=job.total,
        error=job.error,
    )


@router.get("/jobs/{name}")
def job(name: str, desk: OfDesk, _: Who) -> JobTold:
    """How far it is."""
    return told(desk.jobs.get(name))


@router.get("/jobs/{name}/events", response_class=EventSourceResponse)
async def job_events(name: str, desk: OfDesk, _: Who) -> AsyncIterator[JobTold]:
    """Each change of it, until it has ended."""
    last = None
    while True:
        now = told(desk.jobs.get(name))
        if now != last:
            yield now
        if now.state not in (State.WAITING, State.WORKING):
            return
        last = now
        await asyncio.sleep(LOOK_S)
