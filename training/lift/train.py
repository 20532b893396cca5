"""Train the lifter; the clock decides when it is over.

    python train.py --pool FILE... --offsets offsets.npz --out OUT --minutes 12 --seed 1

Writes OUT/net.pt (running average of the weights) every half minute, and at the end the table of
held-out swings on the screen. On a processor without CUDA use a small `--batch`.
"""

from __future__ import annotations

import argparse
import math
import time
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import torch
from layout import ADDRESS, FINE, JOINTS, SAID, STEPS, TURN_UNIT
from motion import bend_swings, draw_swings, turns_of
from net import Lifter
from torch import Tensor
from view import Offsets, club_followed, club_seen, features, project, scaled, spoil

HELD_OUT = 48
STEP = 1e-4
"""Of pose.py."""
J = len(JOINTS)
LEAST_LOG, MOST_LOG = -5.0, 2.0


class Pool:
    """Posed swings on a device, from the files of pose.py; every so often one is held out."""

    def __init__(self, paths: Sequence[Path], offsets: Path, device: torch.device) -> None:
        swings = [_unpacked(path) for path in paths]
        points, time_s, where = (np.concatenate(part) for part in zip(*swings, strict=True))
        self.points = torch.tensor(points, device=device)
        self.time_s = torch.tensor(time_s, device=device)
        self.where = where
        self.offsets = Offsets(offsets, device)
        held = torch.zeros(len(self.points), dtype=torch.bool)
        held[torch.linspace(0, len(held) - 1, min(HELD_OUT, len(held) // 5)).long()] = True
        self.train = torch.nonzero(~held)[:, 0].to(device)
        self.held = torch.nonzero(held)[:, 0].to(device)

    def usual(self) -> Tensor:
        """(1, SAID, STEPS): the mean swing, to start from."""
        view = torch.zeros_like(self.train)
        points, _, _ = draw_swings(self.points, self.time_s, self.train, view, 0.0)
        mean = torch.cat([points[:, :, :J].flatten(2), turns_of(points) / TURN_UNIT], 2).mean(0)
        logs = torch.zeros(STEPS, SAID - mean.shape[1], device=mean.device)
        return torch.cat([mean, logs], 1).T[None]


def _unpacked(path: Path) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Points in statures, seconds, moments, out of second differences."""
    with np.load(path) as kept:
        points = kept["bends"].astype(np.int64)
        for _ in range(2):
            points = np.cumsum(points, axis=1)
        return (points * STEP).astype(np.float32), kept["time_s"], kept["where"]


def draw_batch(
    pool: Pool, count: int, wildest: float, engine: float
) -> tuple[Tensor, Tensor, Tensor]:
    """What is seen, joints (b, STEPS, J, 3) and turns (b, STEPS, 3) that are true."""
    device = pool.points.device
    which = pool.train[torch.randint(len(pool.train), (count,), device=device)]
    view = torch.randint(2, (count,), device=device)
    points, time_s, zero = draw_swings(pool.points, pool.time_s, which, view, 1.0)
    wild = torch.rand(count, device=device) * wildest
    points = bend_swings(points, wild * (torch.rand(count, device=device) < 0.85))
    much = torch.rand(count, device=device) * 1.4 * (torch.rand(count, device=device) < 0.85)
    seen = see(pool.offsets, points, time_s, (view, much), engine)
    return seen, points[:, :, :J], turns_of(points, zero)


def see(
    offsets: Offsets,
    points: Tensor,
    time_s: Tensor,
    how: tuple[Tensor, Tensor],
    engine: float = 1.0,
) -> Tensor:
    """The lifter's input of swings filmed `how`: view (b,), and errors so many times usual (b,).

    Where errors are asked for, that share `engine` of the swings has the engine's own.
    """
    view, much = how
    flat = scaled(project(points, view))
    seen, trust = spoil(flat, view, much)
    own, own_trust, own_club = offsets.spoil(flat, view, much)
    real = (torch.rand(len(flat), device=flat.device) < engine) & (much > 0)
    seen = torch.where(real[:, None, None, None], own, seen)
    trust = torch.where(real[:, None, None], own_trust, trust)
    club = club_seen(flat, much)
    club = torch.where(real[:, None, None], club_followed(flat, own_club), club)
    return features(scaled(seen), trust, club, time_s, view)


def split(said: Tensor) -> tuple[Tensor, Tensor, Tensor, Tensor]:
    """Joints (b, n, J, 3) statures, turns (b, n, 3) degrees, and logarithms of their spreads."""
    rows = said.transpose(1, 2)
    joints, turns, log_joints, log_turns = rows.split([3 * J, 3, J, 3], dim=2)
    logs = [x.clamp(LEAST_LOG, MOST_LOG) for x in (log_joints - 3, log_turns)]
    return joints.unflatten(2, (J, 3)), turns * TURN_UNIT, logs[0], logs[1]


def loss_of(said: Tensor, joints: Tensor, turns: Tensor) -> Tensor:
    """Likelihood, softened so that hard samples teach too, and plain distances."""
    got, turned, log_joints, log_turns = split(said)
    off = (got - joints).square().sum(-1)
    wrong = (turned - turns) / 10.0
    parts = []
    for squared, log, dims in ((off, log_joints, 3.0), (wrong.square(), log_turns, 1.0)):
        likelihood = 0.5 * squared * torch.exp(-2 * log) + dims * log
        parts.append((likelihood * torch.exp(log.detach())).mean())
    scale = torch.tensor([2.0, 2.0, 2.0], device=said.device)
    plain = (wrong.abs() * scale).mean() + 20 * off.clamp_min(1e-8).sqrt().mean()
    return parts[1] + 20 * parts[0] + plain


def main() -> None:
    """Train until the minutes are over, then judge."""
    told = _told()
    torch.manual_seed(told.seed)
    device = torch.device("cuda" if torch.cuda.is_available() else "cpu")
    torch.set_float32_matmul_precision("high")
    pool = Pool(told.pool, told.offsets, device)
    net = Lifter(told.width).to(device)
    net.usual.data += pool.usual()
    if told.weights:
        net.load_state_dict(torch.load(told.weights, map_location=device, weights_only=True))
    average = torch.optim.swa_utils.AveragedModel(
        net, multi_avg_fn=torch.optim.swa_utils.get_ema_multi_avg_fn(told.ema)
    )
    optimiser = torch.optim.AdamW(net.parameters(), lr=told.rate, weight_decay=0.02)
    start, steps, last = time.monotonic(), 0, 0.0
    told.out.mkdir(parents=True, exist_ok=True)
    while (done := (time.monotonic() - start) / 60 / told.minutes) < 1:
        rate = told.rate * min(1.0, (steps + 1) / 200) * 0.5 * (1 + math.cos(math.pi * done))
        for group in optimiser.param_groups:
            group["lr"] = max(rate, 1e-6)
        seen, joints, turns = draw_batch(pool, told.batch, told.wildest, told.engine)
        loss = loss_of(net(seen), joints, turns)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(net.parameters(), 1.0)
        optimiser.step()
        average.update_parameters(net)
        steps += 1
        if time.monotonic() - last > 30:
            last = time.monotonic()
            print(f"{done:.2f} {steps} {float(loss.detach()):.3f}", flush=True)
            torch.save(average.module.state_dict(), told.out / "net.pt")
    torch.save(average.module.state_dict(), told.out / "net.pt")
    print(steps, "steps of", told.batch)
    judge(average.module.eval(), pool)


@torch.no_grad()
def judge(net: torch.nn.Module, pool: Pool) -> None:
    """Held-out swings: unbent and bent, true joints and spoiled ones, each view."""
    torch.manual_seed(99)
    judge_clips(net, pool.offsets.held)
    for bent in (0.0, 1.0):
        for much in (0.0, 1.0):
            for view, name in enumerate(("face-on", "down-the-line")):
                _judge_one(net, pool, (bent, much), (view, name))


def judge_clips(net: torch.nn.Module, held: dict[str, Tensor]) -> None:
    """Real answers of the engine on rendered golfers that the errors were not taken from."""
    _, turned, _, logs = split(net(held["seen"].transpose(1, 2)))
    wrong = (turned - held["turns"]).cpu().numpy()
    spread = (10 * logs.exp()).cpu().numpy()
    where = held["where"].cpu().numpy()
    for view, name in enumerate(("face-on", "down-the-line")):
        rows = np.flatnonzero((held["view"] == view).cpu().numpy())
        print(f"{name}, {len(rows)} clips held out")
        _tell(wrong, spread, where, rows)


def _tell(wrong: np.ndarray, spread: np.ndarray, where: np.ndarray, rows: np.ndarray) -> None:
    for k, moment in enumerate(("address", "arm_level_back", "top", "impact", "finish")):
        at = np.nan_to_num(where[rows, k], nan=ADDRESS).round().astype(int).clip(0, STEPS - 1)
        text = []
        for t in range(3):
            error, sd = wrong[rows, at, t], spread[rows, at, t]
            inside = np.mean(np.abs(error) < 1.645 * sd)
            text.append(
                f"{np.abs(error).mean():5.1f} {np.quantile(np.abs(error), 0.95):5.1f} "
                f"{error.mean():+5.1f} {100 * inside:3.0f}%"
            )
        print(f"  {moment:15s} " + " | ".join(text), flush=True)


def _judge_one(
    net: torch.nn.Module, pool: Pool, how: tuple[float, float], seen: tuple[int, str]
) -> None:
    which = pool.held.repeat(4)
    device = which.device
    view = torch.full((len(which),), seen[0], device=device)
    points, time_s, zero = draw_swings(pool.points, pool.time_s, which, view, 0.5)
    points = (
        bend_swings(points, torch.full((len(which),), how[0], device=device)) if how[0] else points
    )
    much = torch.full((len(which),), how[1], device=device)
    said = net(see(pool.offsets, points, time_s, (view, much)))
    got, turned, _, log_turns = split(said)
    wrong = (turned - turns_of(points, zero)).cpu().numpy()
    spread = 10 * log_turns.exp().cpu().numpy()
    joints = (got - points[:, :, :J]).norm(dim=-1).median()
    where = np.tile(pool.where[pool.held.cpu().numpy()], (4, 1)) * FINE / (FINE / STEPS)
    print(f"{seen[1]}, bent {how[0]:.0f}, spoiled {how[1]:.0f}; joints {100 * float(joints):.2f} %")
    _tell(wrong, spread, where, np.arange(len(wrong)))


def _told() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pool", type=Path, nargs="+", required=True)
    parser.add_argument("--offsets", type=Path, required=True)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--minutes", type=float, default=7.5)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--batch", type=int, default=512)
    parser.add_argument("--rate", type=float, default=2e-3)
    parser.add_argument("--ema", type=float, default=0.998)
    parser.add_argument("--width", type=int, default=176)
    parser.add_argument("--wildest", type=float, default=1.2, help="how far swings are bent")
    parser.add_argument("--engine", type=float, default=0.75, help="share with the engine's errors")
    parser.add_argument("--weights", type=Path)
    return parser.parse_args()


if __name__ == "__main__":
    main()
