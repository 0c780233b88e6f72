"""Small coating jobs thrown by chance, a checker of plans written from the statement of the problem alone, and the best finish
by OR-tools (PyPI `ortools`, CP-SAT)."""

import random

from ortools.sat.python import cp_model


def thrown(dice: random.Random):
    people = [{"name": f"p{i}", "from_s": dice.choice([0, 0, 0, 40])} for i in range(dice.randint(1, 3))]
    sections = []
    for number in range(dice.randint(1, 5)):
        layers = []
        for _ in range(dice.choice([1, 1, 2, 3]) if number < 3 else 1):
            least, cure = dice.randint(0, 120), dice.choice([0, 60, 300, 900])
            layer = {"apply_s": dice.randint(10, 90), "wait_least_s": least, "level_s": dice.randint(10, 60)}
            if dice.random() < 0.9:
                layer["wait_most_s"] = least + dice.choice([0, 10, 30, 60, 90])
            layer["cure_least_s"] = cure
            if dice.random() < 0.3:
                layer["cure_most_s"] = cure + dice.choice([0, 30, 120, 600])
            if dice.random() < 0.2:
                layer["person"] = dice.choice(people)["name"]
            layers.append(layer)
        sections.append({"name": f"s{number}", "from_s": dice.choice([0, 0, 100]), "layers": layers})
    limit = dice.choice([1, 1, 2, 3])
    return {"open_limit": limit, "hand_over": dice.random() < 0.3, "people": people, "sections": sections}


def going_on(dice: random.Random, job, tasks):
    """The job at some time of a plan, with what has begun by then; sometimes that is later than it was planned."""
    job = {**job, "sections": [{**s, "layers": [dict(x) for x in s["layers"]]} for s in job["sections"]]}
    now = dice.randint(0, max(t["end_s"] for t in tasks))
    behind = dice.choice([0, 0, 5, 20, 60, 200])
    for task in tasks:
        if task["start_s"] > now:
            continue
        layer = next(s for s in job["sections"] if s["name"] == task["section"])["layers"][task["layer"]]
        done = {"person": task["person"], "start_s": task["start_s"]}
        if task["end_s"] <= now:
            done["end_s"] = task["end_s"]
        layer[{"apply": "applied", "level": "levelled"}[task["task"]]] = done
    if behind:
        # Nobody did anything but end what was running.
        for section in job["sections"]:
            for layer in section["layers"]:
                for name in ("applied", "levelled"):
                    if name in layer and "end_s" not in layer[name]:
                        layer[name]["end_s"] = now + dice.randint(1, behind)
    return {**job, "now_s": now + behind}


def faults(job, plan):
    """What is wrong with a plan."""
    now, wrong, tasks = job.get("now_s", 0), [], plan["tasks"]
    at = {(t["section"], t["layer"], t["task"]): t for t in tasks}
    if len(at) != len(tasks):
        wrong.append("a task twice")
    free = {p["name"]: p.get("from_s", 0) for p in job["people"]}
    late = {(w["section"], w["layer"], w["lag"]): w["late_s"] for w in plan["late"]}
    opened = {}
    for section in job["sections"]:
        before = None
        for number, layer in enumerate(section["layers"]):
            where = f"{section['name']}[{number}]"
            pair = [at.get((section["name"], number, name)) for name in ("apply", "level")]
            if None in pair:
                wrong.append(f"{where}: not all of it is planned")
                continue
            apply, level = pair
            for task, length, done in ((apply, "apply_s", layer.get("applied")), (level, "level_s", layer.get("levelled"))):
                if done:
                    end = done.get("end_s", max(now, done["start_s"] + layer[length]))
                    if (task["person"], task["start_s"], task["end_s"]) != (done["person"], done["start_s"], end):
                        wrong.append(f"{where}: not as it is on record")
                    continue
                if task["end_s"] - task["start_s"] != layer[length]:
                    wrong.append(f"{where}: not its length")
                if task["start_s"] < max(now, free[task["person"]], section.get("from_s", 0)):
                    wrong.append(f"{where}: too early")
                if task is apply and layer.get("person") not in (None, task["person"]):
                    wrong.append(f"{where}: not who was asked for")
                if task is level and not job["hand_over"] and task["person"] != apply["person"]:
                    wrong.append(f"{where}: handed over")
            if not layer.get("levelled"):
                wait = level["start_s"] - apply["end_s"]
                most = layer.get("wait_most_s", 10**12) + late.get((section["name"], number, "wait"), 0)
                if not layer["wait_least_s"] <= wait <= most:
                    wrong.append(f"{where}: waits {wait}")
            if before and not layer.get("applied"):
                cure = apply["start_s"] - before[0]["end_s"]
                most = before[1].get("cure_most_s", 10**12) + late.get((section["name"], number - 1, "cure"), 0)
                if not before[1]["cure_least_s"] <= cure <= most:
                    wrong.append(f"{where}: cured {cure}")
            before = (level, layer)
            opened.setdefault(apply["person"], []).append((apply["start_s"], level["end_s"], bool(layer.get("applied"))))
    for person in free:
        own = sorted((t for t in tasks if t["person"] == person), key=lambda t: (t["start_s"], t["end_s"]))
        for one, two in zip(own, own[1:]):
            if two["start_s"] < one["end_s"] and two["state"] == "planned":
                wrong.append(f"{person}: two things at once at {two['start_s']}")
        for start, _, recorded in opened.get(person, []):
            if not recorded and sum(a <= start < b for a, b, _ in opened[person]) > job["open_limit"]:
                wrong.append(f"{person}: too many open at {start}")
    if plan["finish_s"] != max(t["end_s"] for t in tasks):
        wrong.append("not its finish")
    return wrong


def best(job, widened=(), seconds=20):
    """The earliest finish and its tasks, or None if nothing fits. `widened` are windows that are missed, with how much."""
    model = cp_model.CpModel()
    now, names = job.get("now_s", 0), [p["name"] for p in job["people"]]
    total = sum(x["apply_s"] + x["wait_least_s"] + x["level_s"] + x["cure_least_s"] for s in job["sections"] for x in s["layers"])
    horizon = now + 4 * total + 2_000
    widen = {(w["section"], w["layer"], w["lag"]): w["late_s"] for w in widened}
    free = {p["name"]: max(now, p.get("from_s", 0)) for p in job["people"]}
    busy, opened, ends, all_tasks = {n: [] for n in names}, {n: [] for n in names}, [], []

    def task(section, number, layer, kind, done, length, who):
        """Start, end, and who does it as literals."""
        if done:
            end = done.get("end_s", max(now, done["start_s"] + length))
            if "end_s" not in done:
                free[done["person"]] = max(free[done["person"]], end)
            all_tasks.append((section, number, kind, done["start_s"], end, {done["person"]: 1}))
            ends.append(end)
            return done["start_s"], end, {done["person"]: 1}
        start = model.new_int_var(now, horizon, "")
        whom = {n: model.new_bool_var("") for n in (who or names)}
        model.add_exactly_one(whom.values())
        for name, does in whom.items():
            busy[name].append((start, length, does))
        all_tasks.append((section, number, kind, start, start + length, whom))
        ends.append(start + length)
        return start, start + length, whom

    for section in job["sections"]:
        name, before = section["name"], None
        for number, layer in enumerate(section["layers"]):
            who = [layer["person"]] if layer.get("person") else None
            a0, a1, aw = task(name, number, layer, "apply", layer.get("applied"), layer["apply_s"], who)
            l0, l1, lw = task(name, number, layer, "level", layer.get("levelled"), layer["level_s"], None)
            if not layer.get("applied"):
                model.add(a0 >= section.get("from_s", 0))
                if before is not None:
                    lower, end = before
                    model.add(a0 >= end + lower["cure_least_s"])
                    if "cure_most_s" in lower:
                        model.add(a0 <= end + lower["cure_most_s"] + widen.get((name, number - 1, "cure"), 0))
            if not layer.get("levelled"):
                model.add(l0 >= a1 + layer["wait_least_s"])
                if "wait_most_s" in layer:
                    model.add(l0 <= a1 + layer["wait_most_s"] + widen.get((name, number, "wait"), 0))
                if not job["hand_over"]:
                    for person in names:
                        model.add(lw.get(person, 0) == aw.get(person, 0))
            for person, does in aw.items():
                opened[person].append((a0, l1, does, bool(layer.get("applied"))))
            before = (layer, l1)
    for person in names:
        for start, _, does in busy[person]:
            model.add(start >= free[person]).only_enforce_if(does)
        model.add_no_overlap([model.new_optional_fixed_size_interval_var(s, n, d, "") for s, n, d in busy[person]])
        recorded = [it for it in opened[person] if it[3]]
        over = sum(1 for it in recorded if not isinstance(it[1], int) or it[1] > now)
        # More may be open on record than the limit: then nothing is opened until there is room.
        intervals = []
        for start, end, does, is_recorded in opened[person]:
            if is_recorded and isinstance(end, int) and end <= now:
                continue
            start = now if is_recorded else start
            size = model.new_int_var(0, horizon, "")
            intervals.append(model.new_optional_interval_var(start, size, end, does, ""))
        if over <= job["open_limit"]:
            model.add_cumulative(intervals, [1] * len(intervals), job["open_limit"])
        elif intervals:
            raise AssertionError("the generator opens no more than the limit")
    finish = model.new_int_var(0, horizon, "")
    model.add_max_equality(finish, ends)
    model.minimize(finish)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1  # the same plan each time
    solver.parameters.max_time_in_seconds = seconds
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None
    assert status == cp_model.OPTIMAL, f"{solver.status_name(status)} {solver.objective_value} >= {solver.best_objective_bound}"
    tasks = [
        {"section": s, "layer": n, "task": k, "start_s": solver.value(a), "end_s": solver.value(b),
         "person": next(p for p, d in w.items() if solver.value(d))}
        for s, n, k, a, b, w in all_tasks
    ]  # fmt: skip
    return round(solver.objective_value), tasks
