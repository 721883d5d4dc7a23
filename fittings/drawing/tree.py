"""Three or four ends joined by tees and crosses, as they stand when they are made up."""

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from fittings.chain import Chain, Joint
from fittings.drawing.chain import Sketch, run_svg
from fittings.drawing.fork import Branch, Fork
from fittings.ends import End
from fittings.parts import Part
from fittings.tree import Tree


def tree_svg(tree: Tree, listed: bool = True, root: bool = True) -> str:
    """A tree as SVG: its tees with run and branch, and the chains on them; see `chain_svg`.

    >>> from fittings.ends import end
    >>> from fittings.limits import Limits
    >>> from fittings.tree import join_all
    >>> found = join_all((end("jic", "-6", "swivel"),) * 3, Limits())
    >>> 'data-is="tee"' in tree_svg(found)
    True
    """
    return run_svg(tree_sketch(tree), listed, root)


class _Limb(NamedTuple):
    """All that hangs on an end of a body: the chain that leads there, and what it comes from."""

    chain: Chain
    body: "_Body | None"


class _Body(NamedTuple):
    """A tee or cross with the end that leads on to the finish, and a limb on every other end."""

    part: Part
    opens: End
    limbs: tuple[_Limb, ...]


def tree_sketch(tree: Tree) -> Sketch:
    """What is to be drawn of a tree: from the first end asked for that stands on the first tee, and out along the others."""
    whole = _read(iter(zip(tree.chains, tree.begins, strict=True)), tree.bodies)
    assert whole.body is not None
    body = whole.body
    first = next(number for number, limb in enumerate(body.limbs) if limb.body is None)
    start = body.limbs[first].chain
    onward = [Branch(body.opens, whole.chain.parts, whole.chain.finish)]
    joints = [*start.joints, *whole.chain.joints]
    for number, limb in enumerate(body.limbs):
        if number != first:
            branch, more = _outward(limb)
            onward.append(branch)
            joints += more
    fork = Fork(body.part, start.finish, tuple(onward))
    ends = [start.start.say, *(chain.start.say for chain, begins in zip(tree.chains, tree.begins, strict=True)
                               if begins < 0 and chain is not start), whole.chain.finish.say]
    rated = [(joint.rating.psi if joint.rating else -1, number) for number, joint in enumerate(joints)]
    return Sketch(" and ".join(ends), "; ".join(part.say for part in tree.bodies), start.start, fork, start.parts, joints, min(rated)[1])


def _read(chains: Iterator[tuple[Chain, int]], bodies: Sequence[Part]) -> _Limb:
    chain, begins = next(chains)
    if begins < 0:
        return _Limb(chain, None)
    part = bodies[begins]
    return _Limb(chain, _Body(part, chain.start, tuple(_read(chains, bodies) for _ in part.ends[1:])))


def _outward(limb: _Limb) -> tuple[Branch, list[Joint]]:
    """A limb as it is met when one walks out along it, and its joints in that order."""
    chain = limb.chain
    uses = tuple(used.turned for used in reversed(chain.parts))
    joints = [joint.turned for joint in reversed(chain.joints)]
    if limb.body is None:
        return Branch(chain.finish, uses, chain.start), joints
    onward = []
    for each in limb.body.limbs:
        branch, more = _outward(each)
        onward.append(branch)
        joints += more
    return Branch(chain.finish, uses, Fork(limb.body.part, chain.start, tuple(onward))), joints
