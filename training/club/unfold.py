"""Turn the weights that the package ships back into ones that can be trained on.

    python unfold.py ../../src/causeline/sources/club_weights/club.xml start.pt

Needs torch and openvino. What was shipped has its normalisations folded into its convolutions; each
gets one that changes nothing, and `train.py` measures what it is to undo (`steady_norms`).
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np
import openvino
import torch
from net import NORM_EPS, ClubNet
from torch import Tensor


def main() -> None:
    """Read, unfold, check, write."""
    source, out = Path(sys.argv[1]), Path(sys.argv[2])
    core = openvino.Core()
    model = core.read_model(source)
    net = ClubNet()
    net.load_state_dict(_unfolded(net, _convolutions(model)))
    x = torch.randn(1, 5, 192, 192, generator=torch.Generator().manual_seed(1)) * 0.5
    answer = core.compile_model(model, "CPU", {"INFERENCE_PRECISION_HINT": "f32"})(x.numpy())[0]
    with torch.no_grad():
        apart = float(np.abs(net.eval()(x).numpy() - answer).max())
    if apart > 1e-2:
        raise SystemExit(f"the unfolded network is off by {apart}; expected at most 0.01")
    torch.save(net.state_dict(), out)
    print("off by", apart)


def _convolutions(model: openvino.Model) -> dict[str, tuple[Tensor, Tensor]]:
    """Weight and bias of each convolution, by the name of the module that adds the bias."""
    found = {}
    for op in model.get_ordered_ops():
        if op.get_type_name() not in ("Convolution", "GroupConvolution"):
            continue
        adds = next(iter(op.output(0).get_target_inputs())).get_node()
        name = adds.get_friendly_name().split("/")[0].removeprefix("__module.")
        weight, bias = _constant(op.input_value(1)), _constant(adds.input_value(1))
        if op.get_type_name() == "GroupConvolution":
            weight = weight.reshape(-1, *weight.shape[2:])
        found[name] = (torch.tensor(weight), torch.tensor(bias.reshape(-1)))
    return found


def _constant(output: openvino.Output) -> np.ndarray:  # type: ignore[type-arg]
    node = output.get_node()
    while node.get_type_name() != "Constant":
        node = node.input_value(0).get_node()
    return np.asarray(node.data, dtype=np.float32)


def _unfolded(net: ClubNet, convolutions: dict[str, tuple[Tensor, Tensor]]) -> dict[str, Tensor]:
    """The state in which each normalisation only adds its convolution's bias."""
    state = net.state_dict()
    for name, (weight, bias) in convolutions.items():
        if f"{name}.running_var" not in state:
            state[f"{name}.weight"], state[f"{name}.bias"] = weight, bias
            continue
        state[f"{_before(name, state)}.weight"] = weight
        state[f"{name}.weight"], state[f"{name}.bias"] = torch.ones_like(bias), bias
        state[f"{name}.running_mean"] = torch.zeros_like(bias)
        state[f"{name}.running_var"] = torch.ones_like(bias) - NORM_EPS
    return state


def _before(norm: str, state: dict[str, Tensor]) -> str:
    """The convolution that a normalisation follows."""
    front, _, last = norm.rpartition(".")
    if last.isdigit():
        return f"{front}.{int(last) - 1}"
    ends = {"_bn0": ("_expand_conv", "_conv_stem"), "_bn1": ("_depthwise_conv",),
            "_bn2": ("_project_conv",)}[last]  # fmt: skip
    return next(f"{front}.{end}" for end in ends if f"{front}.{end}.weight" in state)


if __name__ == "__main__":
    main()
