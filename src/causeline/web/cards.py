"""The chain as cards: cause to the left, what follows from it to the right."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from causeline.model.findings import Findings
from causeline.model.library import Judgement, Touch
from causeline.model.moments import MomentName
from causeline.reading.teaching import run_begun
from causeline.render.chain import TITLES, render_chain, render_fault_title
from causeline.render.contract import Chain, ChainLink
from causeline.render.telling import Texts
from causeline.render.words import MOMENT_SHORT, VIEW_WORDS
from causeline.store.library_clips import load_judgements
from causeline.web.contract.sheet import CardNode, ChainPart, Ruled
from causeline.web.desk import Desk
from causeline.web.shelf import ShelfSwing
from causeline.web.stills import crop_of, still_address

SHORT = {words: name for name, words in MOMENT_SHORT.items()}


def chain_part(desk: Desk, views: Sequence[ShelfSwing], found: Findings, texts: Texts) -> ChainPart:
    """The chain of one swing from all its views, with what people ruled."""
    first = first_ruled(rulings_kept(desk, views))
    found = run_begun(found, first)
    chains = [_chain(view, found, texts) for view in views]
    links = {one.name: _pictured(place, chains, views) for place, one in enumerate(found.findings)}
    names = [one.name for one in found.findings]
    roots = [one.name for one in found.findings if one.because not in names]
    leading = names[0] if names else ""
    return ChainPart(
        lead=chains[0].lead,
        nodes=tuple(_node(name, found, links, leading) for name in roots),
        ruled=tuple(_ruled(each) for each in rulings_kept(desk, views)),
        unknown=tuple(f"{one.what}: {one.why}" for one in chains[0].unknown),
        faults=tuple((name, title) for name, title in TITLES.items() if name not in names),
        views=" and ".join(VIEW_WORDS[view.view] for view in views),
    )


def rulings_kept(desk: Desk, views: Sequence[ShelfSwing]) -> tuple[Judgement, ...]:
    """Rulings that hold, in whichever clip of the swing they were made, the oldest first."""
    kept = [each for view in views for each in load_judgements(desk.library, view.clip.id)]
    mine = (each for each in kept if each.touch is Touch.RULING)
    return tuple(sorted(mine, key=lambda each: (each.made_at, each.id)))


def first_ruled(kept: Sequence[Judgement]) -> str:
    """The fault that the coach wants to begin with; empty where the chain's own cause holds."""
    firsts = [each.content["fault"] for each in kept if each.content.get("first")]
    return str(firsts[-1]) if firsts else ""


def _chain(view: ShelfSwing, found: Findings, texts: Texts) -> Chain:
    swing = replace(view.shown.swing, findings=found)
    chain = render_chain(swing, crop_of(view), "chain", texts)
    assert chain is not None  # noqa: S101 - findings were put in above
    return chain


def _pictured(
    place: int, chains: Sequence[Chain], views: Sequence[ShelfSwing]
) -> tuple[ChainLink, str]:
    """The finding, with the still of the view that has its foremost proof."""
    for chain, view in zip(chains, views, strict=True):
        link = chain.links[place]
        if link.drawing is not None:
            return link, still_address(view, SHORT.get(link.figure, MomentName.ADDRESS))
    return chains[0].links[place], ""


def _node(
    name: str, found: Findings, links: dict[str, tuple[ChainLink, str]], leading: str
) -> CardNode:
    link, picture = links[name]
    return CardNode(
        fault=name,
        link=link,
        picture=picture,
        first=name == leading,
        follows=tuple(
            _node(one.name, found, links, leading) for one in found.findings if one.because == name
        ),
    )


def _ruled(each: Judgement) -> Ruled:
    told = each.content
    title = render_fault_title(told["fault"])
    if told.get("first"):
        words = f"Begin with {title.lower()}: {told['reason']}"
    else:
        words = (
            f"{title} {'is there' if told['say'] == 'present' else 'is struck'}: {told['reason']}"
        )
    return Ruled(each.id, words)
