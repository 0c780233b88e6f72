"""Schedules that are put on record through the door, by the checker that is written from the statement of the problem alone, and their finish
beside OR-tools. What the problem is, is said here from the inputs: a sheet's window runs from the first stroke, a levelling ends with its
entry. Ages and lengths are odd and even multiples of 15 s, so that no window hangs on the second at which an input is taken."""

import copy
import datetime
import json
import os
import pathlib
import random
import subprocess
import time
import uuid

import jobs

ROOT = pathlib.Path(__file__).resolve().parents[3]
BINARY = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target")) / "debug" / "sidelong"
NOW = 1_000_000
PANELS = ["bonnet", "roof", "tailgate", "front-left-door", "rear-left-door"]


def fresh():
    """A UUID of version 7 (RFC 9562)."""
    ms = time.time_ns() // 1_000_000
    return str(uuid.UUID(int=(ms << 80 | random.getrandbits(80)) & ~(0xF << 76 | 0x3 << 62) | 0x7 << 76 | 0x2 << 62))


class Job:
    """A job whose inputs are gathered and then recorded in one go."""

    def __init__(self, folder):
        self.store, self.id, self.lines = str(folder), fresh(), []
        self.put("open_job", {"form": "hatch-5", "finish": "metallic", "scope": ["outside"]})

    def put(self, name, act, observed_at=None):
        made = fresh()
        line = {"input": made, "job": self.id, "act": {name: act}}
        if observed_at:
            line["observed_at"] = observed_at
        self.lines.append(json.dumps(line))
        return made

    def record(self):
        """Why the last one is refused; nothing if all of them are on record."""
        given = "\n".join(self.lines)
        words = [BINARY, "record", "-", "--store", self.store, "--json"]
        done = subprocess.run(words, input=given, capture_output=True, text=True, errors="backslashreplace", timeout=120)
        if done.returncode == 0:
            return None
        told = json.loads(done.stderr.splitlines()[0])
        assert told["line"] == len(self.lines), done.stderr
        return told["reason"]


def ago(seconds):
    """A time so long before now, as it is entered later, and in milliseconds."""
    ms = time.time_ns() // 1_000_000 - seconds * 1_000
    return datetime.datetime.fromtimestamp(ms / 1_000, datetime.timezone.utc).isoformat(timespec="milliseconds"), ms


def one(sidelong, folder, dice):
    """A job with some layers on record, scheduled: the problem as it was at a time, the answer or why there is none, and between which times
    it was asked for."""
    job = Job(folder)
    sheets = []
    for number in range(dice.randint(1, 3)):
        least = 30 * dice.randint(1, 5)
        says = {"dwell": {"least_s": least, "most_s": least + 15 + 30 * dice.randint(0, 4)}, "next_layer": {"least_s": 30 * dice.randint(0, 20)}}
        if dice.random() < 0.3:
            says["next_layer"]["most_s"] = says["next_layer"]["least_s"] + 15 + 30 * dice.randint(0, 20)
        made = job.put("record_sheet", {"kind": "ceramic", "name": f"own {number}", "says": says})
        sheets.append((made, says))
    people = ["Ann", "Bob", "Cem"][: dice.randint(1, 3)]
    terms = {"open_limit": dice.choice([1, 2, 3]), "hand_over": dice.random() < 0.3}
    asked, problem, begun = [], [], {name: 0 for name in people}
    done_ms = []
    for panel in dice.sample(PANELS, dice.randint(1, 4)):
        layers, stated = [], []
        for _ in range(dice.choice([1, 1, 2])):
            sheet, says = dice.choice(sheets)
            most = says["dwell"]["most_s"]
            apply, level = min(30 * dice.randint(1, 3), most // 30 * 30), 30 * dice.randint(1, 2)
            layers.append({"sheet": sheet, "apply_s": apply, "level_s": level})
            stated.append({"apply_s": apply, "level_s": level, "wait_least_s": max(0, says["dwell"]["least_s"] - apply), "wait_most_s": most - apply,
                           "cure_least_s": says["next_layer"]["least_s"]})  # fmt: skip
            if "most_s" in says["next_layer"]:
                stated[-1]["cure_most_s"] = says["next_layer"]["most_s"]
        asked.append({"panel": panel, "layers": layers})
        problem.append({"name": panel, "layers": stated})
        who = dice.choice(people)
        if dice.random() < 0.5 and begun[who] < terms["open_limit"]:
            first, apply = stated[0], stated[0]["apply_s"]
            levelled = dice.random() < 0.4
            # Nobody puts on two at once, and what was levelled waited as long as it had to.
            wait = apply + max(first["wait_least_s"], 1) + first["level_s"]
            age = 30 * (dice.randint(0, 8) if not levelled else -(-wait // 30) + dice.randint(0, 8))
            if begun[who] and age < apply:
                age = apply
            begun[who] += not levelled
            at, at_ms = ago(age)
            entry = job.put("begin_layer", {"panel": panel, "layer": 1, "sheet": layers[0]["sheet"], "who": who}, at)
            end_ms = None
            if levelled:
                at, end_ms = ago(age - 30 * (-(-wait // 30)))
                job.put("level_section", {"begun": entry, "who": who}, at)
            done_ms.append((panel, who, at_ms, end_ms))
    act = {"people": [{"name": name} for name in people], "sections": asked, **terms}
    job.put("make_schedule", act)
    before_ms = time.time_ns() // 1_000_000
    refused = job.record()
    after_ms = time.time_ns() // 1_000_000
    view = None if refused else sidelong("schedule", "--job", job.id, "--store", job.store)

    def problem_at(ms):
        sections = copy.deepcopy(problem)
        for panel, who, at_ms, end_ms in done_ms:
            layer = next(it for it in sections if it["name"] == panel)["layers"][0]
            start = NOW - (ms - at_ms) // 1_000
            layer["applied"] = {"person": who, "start_s": start}
            if start + layer["apply_s"] <= NOW:
                layer["applied"]["end_s"] = start + layer["apply_s"]
            if end_ms:
                end = NOW - (ms - end_ms) // 1_000
                layer["levelled"] = {"person": who, "start_s": max(layer["applied"]["end_s"], end - layer["level_s"]), "end_s": end}
        return {"now_s": NOW, **terms, "people": [{"name": name} for name in people], "sections": sections}

    return problem_at, view, refused, (before_ms, after_ms)


def as_plan(problem, view):
    """The schedule as the checker takes it; what was on record comes from the inputs."""
    base, tasks = view["made"][-1]["made_ms"], []
    for section in problem["sections"]:
        for number, layer in enumerate(section["layers"]):
            for task, word in (("apply", "applied"), ("level", "levelled")):
                if word in layer:
                    done = layer[word]
                    end = done.get("end_s", max(NOW, done["start_s"] + layer[f"{task}_s"]))
                    state = "done" if "end_s" in done else "running"
                    row = {"person": done["person"], "start_s": done["start_s"], "end_s": end, "state": state}
                else:
                    (seen,) = [it for it in view["tasks"] if (it["panel"], it["layer"], it["task"]) == (section["name"], number + 1, task)]
                    assert seen["planned"] and seen["done_ms"] is None
                    from_ms, to_ms = seen["from_ms"] - base, seen["to_ms"] - base
                    assert from_ms % 1_000 == to_ms % 1_000 == 0
                    row = {"person": seen["who"], "start_s": NOW + from_ms // 1_000, "end_s": NOW + to_ms // 1_000, "state": "planned"}
                tasks.append({"section": section["name"], "layer": number, "task": task, **row})
    return {"tasks": tasks, "late": [], "finish_s": NOW + (view["finish_ms"] - base) // 1_000}


def test_schedules_on_record_keep_every_rule(sidelong, tmp_path):
    dice, fit, broken, running, best = random.Random(20), 0, 0, 0, 0
    for number in range(16):
        problem_at, view, refused, asked_ms = one(sidelong, tmp_path / str(number), dice)
        if refused:
            if "nothing is left to plan" in refused:
                continue
            broken += 1
            assert refused.startswith("nothing fits: "), refused
            assert any(jobs.best(problem_at(ms)) is None for ms in asked_ms), (refused, problem_at(asked_ms[0]))
            continue
        problem = problem_at(view["made"][-1]["stamp"]["at_ms"])
        theirs = jobs.best(problem)
        fit += 1
        plan = as_plan(problem, view)
        running += any(task["state"] != "planned" for task in plan["tasks"])
        assert not jobs.faults(problem, plan), (jobs.faults(problem, plan), problem, plan)
        assert theirs and plan["finish_s"] >= theirs[0], problem
        if view["best"]:
            best += 1
            assert plan["finish_s"] == theirs[0], problem
    print(f"{fit} schedules on record, {running} of them with layers begun, {best} shown to be the earliest; {broken} that nothing fits")
    assert fit > 8 and running > 4 and best > 6 and broken > 1
