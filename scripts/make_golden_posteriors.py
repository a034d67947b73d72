#!/usr/bin/env python3
"""Write tests/diagnosis/golden_posteriors.json anew: what a general library of Bayes networks says of strike, chime
and alarm.

    python3 scripts/make_golden_posteriors.py

Run by hand, where pyAgrum is installed (made with 3.3.1, exact inference by its LazyPropagation); the library is no
dependency. From: the strike, chime and alarm faults of the package with their chances as delivered, and networks drawn
at random. Inputs stand beside the answers, so the file stays good when the chances of the package change. The networks
are written out link by link: a fault, a link for each symptom that it can bring about, a leak for each symptom, the
symptom if any link or the leak is on. Nothing of the sums in `underdial.diagnosis.symptoms` is used.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pyagrum as gum

from underdial.diagnosis.case_file import parse_case
from underdial.diagnosis.question import question, symptom_causes
from underdial.diagnosis.symptoms import LEAK

OUT = Path(__file__).resolve().parents[1] / "tests" / "diagnosis" / "golden_posteriors.json"
FAMILIES = ("english_longcase", "french_round_pendulum", "going_barrel_chiming_pendulum", "pin_pallet_alarm")
MOST_CAUSES = 8


def main() -> None:
    """Both sorts of networks to one file."""
    cases = [*_of_the_package(), *_at_random(np.random.default_rng(20261129), 24)]
    rows = ",\n".join(json.dumps(case) for case in cases)
    OUT.write_text(
        f'{{"library": "pyAgrum {gum.__version__}", "leak": {LEAK}, "cases": [\n{rows}\n]}}\n', encoding="utf-8"
    )
    print(f"{len(cases)} networks to {OUT.name}")


def _of_the_package() -> list[dict[str, Any]]:
    out = []
    for family in FAMILIES:
        listed = symptom_causes(question(parse_case({"family": family, "complaint": {"stops": True}})).suspicion)
        for told in sorted({symptom for cause in listed for symptom in cause.brings}):
            brought = sorted(
                (c for c in listed if told in c.brings), key=lambda c: (-c.probability * c.brings[told], c.key)
            )[:MOST_CAUSES]
            other = sorted({s for c in brought for s in c.brings} - {told})[:1]
            causes = [{"key": c.key, "probability": c.probability, "brings": dict(c.brings)} for c in brought]
            out.append(_answered(f"{family}: {told}", causes, [told], []))
            if other:
                out.append(_answered(f"{family}: {told}, and {other[0]}", causes, [told, *other], []))
                out.append(_answered(f"{family}: {told}, but not {other[0]}", causes, [told], other))
    return out


def _at_random(rng: np.random.Generator, count: int) -> list[dict[str, Any]]:
    out = []
    for k in range(count):
        symptoms = [f"s{j}" for j in range(int(rng.integers(2, 5)))]
        causes = [
            {
                "key": f"c{i}",
                "probability": round(float(rng.uniform(0.01, 0.6)), 3),
                "brings": {s: round(float(rng.uniform(0.02, 0.98)), 3) for s in symptoms if rng.random() < 0.7},
            }
            for i in range(int(rng.integers(2, 7)))
        ]
        mixed = rng.permutation(symptoms).tolist()
        told = int(rng.integers(1, len(symptoms)))
        out.append(_answered(f"at random {k}", causes, mixed[:told], mixed[told : told + int(rng.integers(0, 2))]))
    return out


def _answered(name: str, causes: list[dict[str, Any]], told: list[str], not_so: list[str]) -> dict[str, Any]:
    rows = [_of_one(causes, own, told, not_so) for own in causes]
    return {
        "name": name,
        "causes": causes,
        "told": told,
        "not_so": not_so,
        **{what: [row[k] for row in rows] for k, what in enumerate(("present", "sufficient", "necessary"))},
    }


def _of_one(causes: list[dict[str, Any]], own: dict[str, Any], told: list[str], not_so: list[str]) -> list[float]:
    asked = [own["key"], "alone is enough", "nothing else"]
    sums = gum.LazyPropagation(_network(causes, own, told, not_so))
    sums.setEvidence({f"symptom {s}": int(s in told) for s in [*told, *not_so]})
    sums.setTargets(set(asked))
    sums.makeInference()
    return [float(sums.posterior(node)[1]) for node in asked]


def _network(causes: list[dict[str, Any]], own: dict[str, Any], told: list[str], not_so: list[str]) -> gum.BayesNet:
    """Yes/no nodes throughout.

    `alone is enough`: all links of `own` to what is told are on. `nothing else`: none of the others' is.
    """
    net = gum.BayesNet()
    symptoms = [*told, *not_so]
    for cause in causes:
        _chance(net, cause["key"], cause["probability"])
        for symptom in symptoms:
            link = net.add(gum.LabelizedVariable(f"{cause['key']} to {symptom}", "", 2))
            net.addArc(net.idFromName(cause["key"]), link)
            p = cause["brings"].get(symptom, 0.0)
            net.cpt(link)[{cause["key"]: 0}] = [1.0, 0.0]
            net.cpt(link)[{cause["key"]: 1}] = [1.0 - p, p]
    for symptom in symptoms:
        _chance(net, f"leak {symptom}", LEAK)
        _gate(
            net,
            f"rest of {symptom}",
            [f"{c['key']} to {symptom}" for c in causes if c is not own] + [f"leak {symptom}"],
            every=False,
        )
        _gate(net, f"symptom {symptom}", [f"rest of {symptom}", f"{own['key']} to {symptom}"], every=False)
    _gate(net, "alone is enough", [f"{own['key']} to {s}" for s in told], every=True)
    _gate(net, "something else", [f"rest of {s}" for s in told], every=False)
    _pair(net, "nothing else", "something else", "something else", [1, 0])
    return net


def _chance(net: gum.BayesNet, name: str, probability: float) -> None:
    net.cpt(net.add(gum.LabelizedVariable(name, "", 2)))[:] = [1.0 - probability, probability]


def _gate(net: gum.BayesNet, name: str, inputs: list[str], *, every: bool) -> None:
    """A node that is on when any of its inputs is, or when every one is; a chain of pairs keeps the tables small."""
    last = inputs[0]
    for k, one in enumerate(inputs[1:], start=1):
        joint = name if k == len(inputs) - 1 else f"{name} ({k})"
        _pair(net, joint, last, one, [0, 0, 0, 1] if every else [0, 1, 1, 1])
        last = joint
    if len(inputs) == 1:
        _pair(net, name, last, last, [0, 1])


def _pair(net: gum.BayesNet, name: str, one: str, other: str, on: list[int]) -> None:
    node = net.add(gum.LabelizedVariable(name, "", 2))
    parents = [one] if one == other else [one, other]
    for parent in parents:
        net.addArc(net.idFromName(parent), node)
    for k, state in enumerate(on):
        where = {one: k} if one == other else {one: k // 2, other: k % 2}
        net.cpt(node)[where] = [1.0 - state, float(state)]


if __name__ == "__main__":
    main()
