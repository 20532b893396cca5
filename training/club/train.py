"""Train the club's network on pictures drawn as it learns. Needs a CUDA device, torch and cupy.

    torchrun --nproc-per-node GPUS train.py --data FOLDER --out FOLDER [--weights net.pt]

FOLDER holds `photos/*.jpg` (square background photos) and `backbone.pth` (ImageNet weights).
"""

from __future__ import annotations

import argparse
import json
import math
import multiprocessing
import os
import queue
import time
from pathlib import Path
from typing import Any

import cupy
import layout
import numpy as np
import torch
from losses import club_errors, club_loss, moved
from net import ClubNet, make_net, steady_norms
from PIL import Image
from scenes import draw_scenes
from spoil import spoil
from torch import Tensor, distributed
from torch.nn import parallel

BATCH = 256
FRESH = 128
"""New samples drawn for each step."""
POOL = 40_000
WARM_STEPS = 200
PAINTING = 0.4
"""Share of the time that may go into new samples; each is used a few times, moved and spoiled."""


def main() -> None:
    """Draw, learn, report, save."""
    args = _arguments()
    rank = int(os.environ.get("LOCAL_RANK", "0"))
    out = Path(args.out)
    out.mkdir(parents=True, exist_ok=True)
    files = sorted((Path(args.data) / "photos").glob("*.jpg"))
    feed = Feed(args.seed + 100 * rank, len(files), args.workers)
    torch.cuda.set_device(rank)
    cupy.cuda.Device(rank).use()
    distributed.init_process_group("nccl")
    torch.backends.cudnn.benchmark = True
    torch.backends.cudnn.benchmark_limit = 4
    torch.manual_seed(args.seed + 100 * rank)
    painter = Painter(files)
    held = [painter.paint(feed.held(seed)) for seed in range(900_001, 900_009)]
    published = None if args.weights else Path(args.data) / "backbone.pth"
    net = make_net(published).cuda().to(memory_format=torch.channels_last)
    if args.weights:
        net.load_state_dict(torch.load(args.weights, map_location="cuda"))
    if args.unfolded:
        steady_norms(net, torch.cat([spoil(x.float()) for x, _ in held]))
    kept = _learn(net, painter, feed, held, args)
    if rank == 0:
        _save(kept, out)
    feed.close()
    distributed.destroy_process_group()


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--data", required=True)
    parser.add_argument("--out", required=True)
    parser.add_argument("--unfolded", action="store_true", help="the weights are from unfold.py")
    parser.add_argument("--minutes", type=float, default=8.5)
    parser.add_argument("--weights")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=12)
    parser.add_argument("--rate", type=float, default=2e-3)
    return parser.parse_args()


def _save(kept: dict[str, Tensor], out: Path) -> None:
    half = {k: v.half() if v.is_floating_point() else v for k, v in kept.items()}
    torch.save({k: v.cpu() for k, v in half.items()}, out / "net.pt")


class Painter:
    """The renderer on the GPU."""

    def __init__(self, files: list[Path]) -> None:
        photos = np.stack([np.asarray(Image.open(f).convert("RGB")) for f in files])
        self.photos = torch.from_numpy(photos).cuda()
        text = (Path(__file__).parent / "scene.cu").read_text()
        module = cupy.RawModule(
            code=layout.defines() + text, options=("--use_fast_math", "-std=c++14")
        )
        self.kernel = module.get_function("render")

    def paint(self, batch: tuple[Any, ...]) -> tuple[Tensor, Tensor]:
        """(n, 5, s, s) uint8 and the truth (n, 3, 2)."""
        scenes, points, flip = (torch.from_numpy(part).cuda(non_blocking=True) for part in batch)
        n, size = len(scenes), layout.SIZE
        rgb = torch.empty((n, 3, size, size, 3), dtype=torch.uint8, device="cuda")
        blocks = (size // 16, size // 16, n * 3)
        places = (np.uint64(part.data_ptr()) for part in (scenes, self.photos, rgb))
        self.kernel(blocks, (16, 16), (*places, np.int32(n * 3)))
        x = rgb.permute(0, 1, 4, 2, 3)
        weights = torch.tensor([0.299, 0.587, 0.114], device="cuda").view(1, 3, 1, 1)
        grey = lambda k: (x[:, k].float() * weights).sum(1, keepdim=True).round().byte()  # noqa: E731
        picture = torch.cat([x[:, 1], grey(0), grey(2)], 1)
        picture = torch.where(flip.view(-1, 1, 1, 1), picture.flip(-1), picture)
        points = points.clone()
        points[flip, :, 0] = size - points[flip, :, 0]
        return picture, points


class Pace:
    """Keeps painting to its share of the GPU's time."""

    def __init__(self) -> None:
        self.began = time.time()
        self.paint_s, self.paints = 0.0, 0
        self.events = [torch.cuda.Event(enable_timing=True) for _ in range(2)]
        self.open = False

    def allows(self) -> bool:
        """Whether another batch may be painted."""
        self._collect()
        return self.paint_s < PAINTING * (time.time() - self.began)

    def begin(self) -> None:
        """A batch is about to be painted."""
        self._collect(wait=True)
        self.events[0].record()

    def end(self) -> None:
        """It was."""
        self.events[1].record()
        self.open = True

    def _collect(self, wait: bool = False) -> None:
        if not self.open:
            return
        if wait:
            self.events[1].synchronize()
        if self.events[1].query():
            self.paint_s += self.events[0].elapsed_time(self.events[1]) / 1000
            self.paints += 1
            self.open = False


class Feed:
    """Scenes drawn by other processes."""

    def __init__(self, seed: int, photos: int, workers: int) -> None:
        context = multiprocessing.get_context("fork")  # before CUDA is touched
        self.photos = photos
        self.queue: Any = context.Queue(maxsize=4 * workers)
        self.processes = [
            context.Process(
                target=_draw_for_ever, args=(self.queue, seed * 1000 + i, photos), daemon=True
            )
            for i in range(workers)
        ]
        for process in self.processes:
            process.start()

    def held(self, seed: int) -> tuple[Any, ...]:
        """Samples of a seed that no worker uses."""
        return _draw(np.random.default_rng(seed), self.photos)

    def next(self, wait: bool) -> tuple[Any, ...] | None:
        """A batch of scenes, or None when none is ready."""
        try:
            return self.queue.get(block=wait)
        except queue.Empty:
            return None

    def close(self) -> None:
        """Stop the processes."""
        for process in self.processes:
            process.terminate()


def _draw(rng: np.random.Generator, photos: int) -> tuple[Any, ...]:
    batch = draw_scenes(rng, FRESH, photos)
    return batch.scenes, batch.points, batch.flip


def _draw_for_ever(into: Any, seed: int, photos: int) -> None:
    rng = np.random.default_rng(seed)
    while True:
        into.put(_draw(rng, photos))


def _learn(
    net: ClubNet, painter: Painter, feed: Feed, held: list[Any], args: Any
) -> dict[str, Tensor]:
    size = layout.SIZE
    pool_x = torch.empty((POOL, 5, size, size), dtype=torch.uint8, device="cuda")
    pool_p = torch.empty((POOL, 3, 2), device="cuda")
    filled, written, pace = 0, 0, Pace()

    def draw(wait: bool) -> None:
        nonlocal filled, written
        batch = feed.next(wait) if wait or pace.allows() else None
        if batch is None:
            return
        pace.begin()
        x, p = painter.paint(batch)
        pace.end()
        at = written % (POOL // FRESH) * FRESH
        pool_x[at : at + FRESH], pool_p[at : at + FRESH] = x, p
        written += 1
        filled = min(POOL, written * FRESH)

    for _ in range(24):
        draw(wait=True)
    body, rest = (
        list(net.backbone.parameters()),
        [p for name, p in net.named_parameters() if not name.startswith("backbone")],
    )
    base = [args.rate * 0.3, args.rate]
    optimiser = torch.optim.AdamW(
        [{"params": body, "lr": base[0]}, {"params": rest, "lr": base[1]}],
        weight_decay=0.02,
        fused=True,
    )
    kept = {k: v.detach().clone() for k, v in net.state_dict().items()}
    step_of = parallel.DistributedDataParallel(net, device_ids=[torch.cuda.current_device()])
    began, step, told, spent = time.time(), 0, 0.0, 0.0
    while spent < 1:
        if step % 10 == 0:
            clock = torch.tensor([(time.time() - began) / (60 * args.minutes)], device="cuda")
            distributed.broadcast(clock, 0)
            spent = float(clock)
        draw(wait=False)
        draw(wait=False)
        pick = torch.randint(filled, (BATCH,), device="cuda")
        x, points, seen = moved(pool_x[pick], pool_p[pick])
        x = spoil(x)
        warm = min(1.0, (step + 1) / WARM_STEPS)
        for group, rate in zip(optimiser.param_groups, base, strict=True):
            group["lr"] = rate * warm * (0.5 + 0.5 * math.cos(math.pi * spent)) + 1e-6
        with torch.autocast("cuda", torch.bfloat16):
            maps = step_of(x)
        loss = club_loss(maps.float(), points, seen)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 5.0)
        optimiser.step()
        step += 1
        _average(kept, net, min(0.998, step / (step + 10)))
        if distributed.get_rank() == 0 and time.time() - told > 30:
            told = time.time()
            _save(kept, Path(args.out))
            print(json.dumps({"s": round(told - began), "step": step, "drawn": written * FRESH,
                              "loss": round(loss.item(), 3),
                              "paint_ms": round(1000 * pace.paint_s / max(pace.paints, 1), 1),
                              **_held_errors(net, held[:2])}), flush=True)  # fmt: skip
    net.load_state_dict(kept)
    if distributed.get_rank() == 0:
        print(
            json.dumps({"steps": step, "drawn": written * FRESH, **_held_errors(net, held)}),
            flush=True,
        )
    return kept


@torch.no_grad()
def _average(kept: dict[str, Tensor], net: ClubNet, keep: float) -> None:
    state = net.state_dict()
    floats = [k for k, v in state.items() if v.is_floating_point()]
    torch._foreach_lerp_([kept[k] for k in floats], [state[k] for k in floats], 1 - keep)


@torch.no_grad()
def _held_errors(net: ClubNet, held: list[Any]) -> dict[str, float]:
    net.eval()
    torch.manual_seed(7)
    maps, truth, seen = [], [], []
    for x, p in held:
        x, p, v = moved(x, p)
        with torch.autocast("cuda", torch.bfloat16):
            maps.append(net(spoil(x)).float())
        truth.append(p)
        seen.append(v)
    torch.manual_seed(int(time.time() * 1000) % 2**31)
    net.train()
    return club_errors(torch.cat(maps), torch.cat(truth), torch.cat(seen))


if __name__ == "__main__":
    main()
