"""Networks on the processor, run by OpenVINO, several pictures at a time.

They run in single precision on purpose. Left alone, the library takes bfloat16 where the processor
has it: coordinates then come rounded to whole pixels of the square, and the same clip reads
differently on another machine. Layers that a file itself holds in whole numbers of 8 bits, as the
club's does, run in those.
"""

from __future__ import annotations

import threading
from collections import deque
from collections.abc import Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from causeline.errors import EngineError
from causeline.model.clip import Picture

if TYPE_CHECKING:
    import openvino

_REMEDY = (
    "bring the weights back: install the package again, or run `python tools/fetch_weights.py` in "
    "a source checkout"
)


@dataclass(frozen=True, slots=True)
class Layout:
    """What a network is expected to be: its square, what bytes become, and the outputs in use."""

    side: int
    middle: float
    """The byte that becomes 0."""
    span: float
    """The step in bytes that becomes 1."""
    outputs: tuple[tuple[str, tuple[int, ...]], ...]


class Request:
    """One run of a network at a time; holds its input for as long as the library reads it."""

    def __init__(self, request: openvino.InferRequest, outputs: int) -> None:
        self._request = request
        self._outputs = outputs
        self._input: NDArray[np.uint8] | None = None

    def start(self, square: Picture) -> None:
        """Begin; returns at once."""
        self._input = np.ascontiguousarray(square)[None]
        self._request.start_async({0: self._input}, share_inputs=True)

    def answers(self) -> list[NDArray[np.float32]]:
        """Wait, then the outputs: views that hold until the next start."""
        with _faults("the landmark engine failed on a picture"):
            self._request.wait()
            return [self._request.get_output_tensor(k).data for k in range(self._outputs)]

    def finish(self) -> None:
        """Wait until nothing runs."""
        self._request.wait()


class Network:
    """A compiled network and its idle requests; safe to use from several threads."""

    def __init__(self, compiled: openvino.CompiledModel, layout: Layout) -> None:
        self._compiled = compiled
        self._layout = layout
        self._idle: deque[Request] = deque()
        self.at_once = int(compiled.get_property("OPTIMAL_NUMBER_OF_INFER_REQUESTS"))
        """How many runs keep all cores busy."""

    def take(self) -> Request:
        """An idle request; made when there is none."""
        try:
            return self._idle.pop()
        except IndexError:
            return Request(self._compiled.create_infer_request(), len(self._layout.outputs))

    def give(self, request: Request) -> None:
        """Hand a request back, whether it has been waited for or not."""
        request.finish()
        self._idle.append(request)


def decode_network(path: Path, layout: Layout, threads: int) -> Network:
    """The network in a file, compiled once for the process; `threads` 0 means all cores.

    Waits where another thread is at it. Raises EngineError where the file is missing or is not that
    network.
    """
    key = (path, layout, threads)
    with _looking_up:
        known = _networks.get(key)
        coming = _networks.setdefault(key, Future())
    if known is not None:
        return known.result()
    try:
        coming.set_result(_loaded(path, layout, threads))
    except BaseException as error:
        with _looking_up:
            del _networks[key]
        coming.set_exception(error)
        raise
    return coming.result()


_networks: dict[tuple[Path, Layout, int], Future[Network]] = {}
"""Those of this process, loaded or being loaded; what failed is not kept."""
_looking_up = threading.Lock()


def _loaded(path: Path, layout: Layout, threads: int) -> Network:
    if not path.is_file():
        raise EngineError(f"the weights {path} are missing", "they ship in the wheel", _REMEDY)
    with _faults(f"the weights {path} cannot be used"):
        import openvino

        core = openvino.Core()
        model = _prepared(_trimmed(core.read_model(path), path, layout), layout)
        return Network(core.compile_model(model, "CPU", _settings(threads)), layout)


def _settings(threads: int) -> dict[str, str]:
    settings = {"INFERENCE_PRECISION_HINT": "f32", "PERFORMANCE_HINT": "THROUGHPUT"}
    return settings | ({"INFERENCE_NUM_THREADS": str(threads)} if threads else {})


def _trimmed(model: openvino.Model, path: Path, layout: Layout) -> openvino.Model:
    """Only the outputs that are read: the silhouette alone costs a third of the light network."""
    import openvino

    outputs = [model.output(name) for name, _ in layout.outputs]
    shapes = tuple(tuple(output.shape) for output in outputs)
    expected = tuple(shape for _, shape in layout.outputs)
    if shapes != expected:
        raise EngineError(
            f"the network in {path} answers in shapes {shapes}", f"{expected} expected", _REMEDY
        )
    results = [openvino.opset13.result(output.node.input_value(0)) for output in outputs]
    return openvino.Model(results, model.get_parameters())


def _prepared(model: openvino.Model, layout: Layout) -> openvino.Model:
    """Takes bytes, as pictures are, and scales them inside."""
    import openvino
    from openvino.preprocess import PrePostProcessor

    steps = PrePostProcessor(model)
    steps.input().tensor().set_element_type(openvino.Type.u8)
    scaling = steps.input().preprocess().convert_element_type(openvino.Type.f32)
    scaling.mean(layout.middle).scale(layout.span)
    return steps.build()


@contextmanager
def _faults(what: str) -> Iterator[None]:
    """The one place where the library's errors become this project's."""
    try:
        yield
    except ImportError as error:
        raise EngineError(
            f"OpenVINO cannot be loaded: {error}", "", "run `pip install openvino`"
        ) from error
    except RuntimeError as error:
        if isinstance(error, EngineError):
            raise
        last = str(error).strip().splitlines()[-1:] or [type(error).__name__]
        raise EngineError(f"{what}: {last[0]}", "", _REMEDY) from error
