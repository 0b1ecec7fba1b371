"""A second machine, written from docs/plan.md and the rules alone, run against the project's own rehearsal.

Usage: simulate.py FOLDER N SCHEMA.json, for plan-0.json and run-0.json to N - 1 in the folder
   or: simulate.py PLAN.json REHEARSAL.json SCHEMA.json
It checks the plan against its schema, runs every piece of every size, and compares loops (number, step, needle,
kind, what each was drawn through, yarn, fate), passes and the rules of findings.
"""
import json
import sys
from collections import Counter
from fractions import Fraction

import jsonschema


class Fault(Exception):
    """An error: the run of the piece ends."""


class Machine:
    def __init__(self, limits):
        self.limits = limits
        self.position, self.stack, self.declared = {}, {}, set()
        self.pitch, self.racking = "full", 0
        self.carriage, self.counter, self.passes = None, 0, 0
        self.yarn, self.used, self.last_yarn = {}, {}, None
        self.holders, self.hangs = {}, {"comb": 0, "weights": 0}
        self.bare, self.down = False, False
        self.loops, self.records, self.warned = [], [], Counter()
        self.step = self.part = 0

    def x(self, n):
        bed, slot = n
        if bed == "main":
            return Fraction(slot)
        return Fraction(slot) + (Fraction(1, 2) if self.pitch == "half" else 0) + self.racking

    def known(self, n):
        bed, slot = n
        count = self.limits["main_needles" if bed == "main" else "ribber_needles"]
        left = (count + 1) // 2
        if not -left <= slot < count - left:
            raise Fault("outside-bed")

    def warn(self, rule, needle=None):
        self.warned[(rule, needle, self.part)] += 1

    def loaded(self, bed=None):
        return [n for n, s in self.stack.items() if s and (bed is None or n[0] == bed)]

    def make(self, n, kind, through, yarn):
        number = len(self.loops) + 1
        self.loops.append([number, self.step, n[0], n[1], kind, list(through), yarn, "live", None])
        for t in through:
            self.loops[t - 1][7:] = ["knitted", number]
        return number

    def lift(self, n):
        self.known(n)
        if not self.stack.get(n):
            raise Fault("no-loop")
        return self.stack.pop(n)

    def kind(self, number):
        return self.loops[number - 1][4]

    def tucks(self, n):
        return sum(self.kind(l) == "tuck" for l in self.stack.get(n, []))

    def hang_on(self, n, loops):
        self.known(n)
        if self.position.get(n, "out") == "out":
            raise Fault("not-in-work")
        self.stack.setdefault(n, []).extend(loops)
        self.declared.discard(n)
        self.count_tucks(n)

    def count_tucks(self, n):
        count = self.tucks(n)
        if count > self.limits["most_tucks"]:
            raise Fault("too-many-tucks")
        if count == self.limits["most_tucks"]:
            self.warn("tucks-at-limit", n)

    def do_pass(self, s):
        met = sorted((n for n, p in self.position.items() if p != "out"), key=self.x)
        if any(self.x(a) == self.x(b) for a, b in zip(met, met[1:])):
            raise Fault("facing-needles")
        if self.carriage == s["direction"]:
            raise Fault("carriage-side")
        laid = s.get("laid_yarn")
        if laid is not None and (s["main"]["setting"] != "knit" or s["yarn"] is None or s["second_yarn"] is not None):
            raise Fault("laid-without-knit")
        yarns = [y for y in (s["yarn"], s["second_yarn"], laid) if y is not None]
        for y in yarns:
            if y not in self.yarn:
                raise Fault("no-yarn")
            if self.yarn[y] == s["direction"]:
                raise Fault("yarn-side")
            if self.passes - self.used[y] > 6:
                self.warn("carried-yarn")
        if self.down and any(n[0] == "ribber" for n in met):
            raise Fault("ribber-is-down")
        if s["direction"] == "left":
            met.reverse()
        bare, empty_before, over = self.bare, not self.loaded(), []
        formed, error, missed, per_yarn, before = [], None, {"main": [], "ribber": []}, {}, None
        for n in met:
            setting, hold = s[n[0]]["setting"], s[n[0]]["hold"]
            position = self.position[n]
            if position == "holding" and hold:
                missed[n[0]].append(None)
                continue
            act = setting if position == "working" else "knit"
            second = s["second_yarn"] is not None and position == "forward"
            yarn = s["second_yarn"] if second else s["yarn"]
            if laid is not None and position == "forward":
                if over and abs(self.x(n) - self.x(over[-1])) > self.limits["longest_float"]:
                    self.warn("long-float", over[-1])
                over.append(n)
            self.position[n] = "working"
            missed[n[0]].append(n if act == "slip" else None)
            if act == "slip" or (act == "tuck" and yarn is None):
                continue
            if yarn is None:
                if self.stack.get(n):
                    if s["mark"] != "release":
                        error = error or "fell-off"
                    self.let_go(n, self.stack.pop(n))
                continue
            old = self.stack.get(n, [])
            if act == "knit":
                if not old and n not in self.declared:
                    self.warn("undeclared-empty", n)
                if sum(self.kind(l) != "tuck" for l in old) > 3:
                    self.warn("many-loops-on-needle", n)
                self.stack[n] = [self.make(n, "knit", old, yarn)]
            else:
                self.stack[n] = old + [self.make(n, "tuck", [], yarn)]
                count = self.tucks(n)
                if count > self.limits["most_tucks"]:
                    error = error or "too-many-tucks"
                elif count == self.limits["most_tucks"]:
                    self.warn("tucks-at-limit", n)
                if not formed:
                    self.warn("first-loop-tuck")
            self.declared.discard(n)
            if not old and before and before[1] and before[0][0] == n[0] and s["mark"] != "open-start":
                error = error or "two-empties"
            if second in per_yarn and abs(self.x(n) - self.x(per_yarn[second])) > self.limits["longest_float"]:
                self.warn("long-float", per_yarn[second])
            per_yarn[second] = n
            before = (n, not old)
            formed.append((n, act))
        if formed and formed[-1][1] == "tuck":
            error = error or "last-loop-tuck"
        for bed in ("main", "ribber"):
            if any(n[0] == bed for n, _ in formed):
                other = [self.x(n) for n, _ in formed if n[0] != bed]
                for end, n in ((0, missed[bed][0]), (-1, missed[bed][-1])):
                    if not n:
                        continue
                    # A loop of the other bed beyond it, or within one pitch of it, holds the edge.
                    outward = -1 if (end == 0) == (s["direction"] == "right") else 1
                    if any((x - self.x(n)) * outward >= -1 for x in other):
                        continue
                    self.warn("end-needle-missed", n)
        if error:
            raise Fault(error)
        if formed and s["yarn"] is not None:
            self.last_yarn = s["yarn"]
        self.passes += 1
        self.carriage = s["direction"]
        before_count = self.counter
        self.counter += s["counted"]
        for y in yarns:
            self.yarn[y], self.used[y] = s["direction"], self.passes
        if formed:
            if bare:
                raise Fault("nothing-hangs")
            grams, needles = sum(self.hangs.values()), len(self.loaded())
            if grams and not self.limits["least_grams"] * needles <= grams <= self.limits["most_grams"] * needles:
                self.warn("weight")
        if empty_before and {n[0] for n, _ in formed} == {"main", "ribber"} and not sum(self.hangs.values()):
            self.bare = True
        self.records.append([self.step, s["direction"], before_count, self.counter, len(formed),
                             len(self.loaded("main")), len(self.loaded("ribber"))])

    def moves(self, moves, carry=None):
        lifted = []
        for m in moves:
            source, target = tuple(m["from"]), tuple(m["to"])
            self.known(source), self.known(target)
            open_tuck = bool(self.stack.get(source)) and self.kind(self.stack[source][-1]) == "tuck"
            lifted.append((source, target, self.lift(source)))
            if open_tuck:
                self.warn("shaping-on-open-tuck", source)
        for m in moves:
            if m["leaves"] == "out":
                self.position[tuple(m["from"])] = "out"
            else:
                self.declared.add(tuple(m["from"]))
        for source, target, loops in lifted:
            distance = abs(self.x(source) - self.x(target))
            along = source[0] == target[0]
            if along and carry is not None:
                if distance > carry:
                    raise Fault("past-stated-carry")
                silent, told = 3, 5
            else:
                silent, told = (2, 3) if along else (1, 1)
            # Half pitches along a bed do not occur.
            if distance > told:
                raise Fault("carried-far")
            if distance > silent:
                self.warn("carried-far", source)
            self.hang_on(target, loops)

    def run_step(self, s):
        needles = [tuple(n) for n in s.get("needles", [])]
        do = s["do"]
        if do == "start":
            self.carriage, self.pitch, self.racking = s["carriage"], s["pitch"], s["racking"]
        elif do == "pass":
            self.do_pass(s)
        elif do == "into-work":
            for n in needles:
                self.known(n)
                self.position[n] = "working"
                if not self.stack.get(n):
                    self.declared.add(n)
        elif do == "out-of-work":
            for n in needles:
                self.known(n)
                if self.stack.get(n):
                    raise Fault("out-with-loops")
                self.position[n] = "out"
        elif do in ("hold", "forward", "back-to-working"):
            for n in needles:
                if self.position.get(n, "out") == "out":
                    raise Fault("not-in-work")
                self.position[n] = {"hold": "holding", "forward": "forward", "back-to-working": "working"}[do]
        elif do == "transfer":
            self.moves([s])
        elif do == "move-together":
            self.moves(s["moves"], s.get("carry"))
        elif do == "wrap":
            if not s.get("cut_length") and s["yarn"] not in self.yarn:
                raise Fault("no-yarn")
            for n in needles:
                if self.position.get(n, "out") == "out":
                    raise Fault("not-in-work")
                if self.stack.get(n):
                    raise Fault("not-empty")
                self.stack[n] = [self.make(n, "wrap", [], s["yarn"])]
                self.declared.discard(n)
            if not s.get("cut_length"):
                self.lay(s["yarn"])
        elif do == "turn-wrap":
            n = tuple(s["needle"])
            if s["yarn"] not in self.yarn:
                raise Fault("no-yarn")
            if self.position.get(n) != "holding":
                raise Fault("not-holding")
            self.stack.setdefault(n, []).append(self.make(n, "tuck", [], s["yarn"]))
            self.count_tucks(n)
        elif do == "take-off":
            self.holders.setdefault(s["holder"], []).extend(self.lift(n) for n in needles)
        elif do == "put-back":
            stacks = self.holders.pop(s["holder"], [])
            if len(stacks) != len(needles):
                raise Fault("holder-count")
            for n, loops in zip(needles, stacks):
                self.hang_on(n, loops)
        elif do == "pick-up":
            if s["loop"] > len(self.loops):
                raise Fault("no-such-loop")
            self.hang_on(tuple(s["needle"]), [s["loop"]])
        elif do == "rack":
            self.racking = s["racking"]
        elif do == "pitch":
            self.pitch = s["pitch"]
        elif do == "yarn-join":
            self.yarn[s["yarn"]], self.used[s["yarn"]] = s["side"], self.passes
        elif do == "yarn-cut":
            if s["yarn"] not in self.yarn:
                raise Fault("no-yarn")
            del self.yarn[s["yarn"]]
        elif do == "hang":
            self.hangs[s["what"]] += s["grams"]
            self.bare = False
        elif do == "unhang":
            if s["grams"] > self.hangs[s["what"]]:
                raise Fault("not-hanging")
            self.hangs[s["what"]] -= s["grams"]
        elif do == "move-up":
            if not self.hangs[s["what"]]:
                raise Fault("nothing-to-move-up")
        elif do == "counter":
            self.counter = s["reading"]
        elif do == "ribber-down":
            if self.loaded("ribber"):
                raise Fault("ribber-down-with-loops")
            self.down = True
        elif do == "ribber-up":
            self.down = False
        elif do == "secure":
            self.secure(needles, s)
        elif do == "release":
            for n in needles:
                self.let_go(n, self.lift(n))
        elif do == "hang-edge":
            if len(needles) != len(s["places"]):
                raise Fault("hung-count")
            for n in needles:
                self.known(n)
                if self.position.get(n, "out") == "out":
                    raise Fault("not-in-work")
                self.stack.setdefault(n, []).append(self.make(n, "hung", [], None))
                self.declared.discard(n)
        elif do == "claim":
            main, ribber = len(self.loaded("main")), len(self.loaded("ribber"))
            if s["counter"] not in (None, self.counter):
                raise Fault("claim-counter")
            counts = {"main_stitches": main, "ribber_stitches": ribber, "stitches": main + ribber}
            if any(s[what] not in (None, count) for what, count in counts.items()):
                raise Fault("claim-stitches")
            if s["carriage"] not in (None, self.carriage):
                raise Fault("claim-carriage")
        else:
            raise SystemExit(f"unknown step {do}")

    def lay(self, yarn):
        self.yarn[yarn], self.used[yarn], self.last_yarn = self.carriage, self.passes, yarn

    def let_go(self, n, loops):
        """Loops let off a needle, and those that they were drawn through there."""
        going = list(loops)
        while going:
            l = self.loops[going.pop() - 1]
            l[7:] = ["released", None]
            if (l[2], l[3]) == n:
                going.extend(l[5])

    def secure(self, needles, s):
        if s.get("onto") is not None:
            onto = tuple(s["onto"])
            self.known(onto)
            if self.position.get(onto, "out") == "out":
                raise Fault("not-in-work")
            if not self.stack.get(onto) or onto in needles:
                raise Fault("no-loop")
        if s["way"] == "loop-through-loop" and s["cut_length"] is None and needles[0] != needles[-1]:
            at = self.yarn.get(self.last_yarn)
            begins = "right" if self.x(needles[0]) > self.x(needles[-1]) else "left"
            if begins == at:
                raise Fault("bind-off-from-yarn-end")
        stacks = []
        for n in needles:
            open_tuck = bool(self.stack.get(n)) and self.kind(self.stack[n][-1]) == "tuck"
            stacks.append(self.lift(n))
            if open_tuck:
                self.warn("shaping-on-open-tuck", n)
        for i, loops in enumerate(stacks):
            holder = None
            if s["way"] == "loop-through-loop" and i + 1 < len(stacks):
                holder = stacks[i + 1][-1]
            for l in loops:
                self.loops[l - 1][7:] = [s["way"], holder]

    def run(self, steps):
        """Gives the rule and step of the error that ended the run, if any."""
        for s in steps:
            self.step, self.part = s["step"], s["part"]
            try:
                self.run_step(s)
            except Fault as e:
                return str(e), s["step"]
        if self.loaded() or any(self.holders.values()):
            return "live-at-end", self.step
        return None


def compare(plan, rehearsal, validator):
    validator.validate(plan)
    pieces = loops = 0
    for ps, rs in zip(plan["sizes"], rehearsal["sizes"], strict=True):
        assert ps["size"] == rs["size"]
        for p, r in zip(ps["pieces"], rs["pieces"], strict=True):
            where = f"{plan['title']}, size {ps['size']}, {p['piece']}"
            m = Machine(plan["machine"])
            error = m.run(p["steps"])
            assert r["stopped_at"] == (error[1] if error else None), f"{where}: stopped {r['stopped_at']}, here {error}"
            assert len(m.loops) == len(r["loops"]), f"{where}: {len(r['loops'])} loops, here {len(m.loops)}"
            for mine, theirs in zip(m.loops, r["loops"]):
                assert mine == theirs, f"{where}: loop {theirs}, here {mine}"
            assert m.records == r["passes"], f"{where}: passes differ"
            found = Counter({(f["rule"], tuple(f["needle"]) if f["needle"] else None, f["part"]): f["times"]
                             for f in r["findings"] if f["level"] == "warning"})
            assert m.warned == found, f"{where}: warnings {found}, here {m.warned}"
            told = [f["rule"] for f in r["findings"] if f["level"] == "error"]
            assert told == ([error[0]] if error else []), f"{where}: error {told}, here {error}"
            pieces, loops = pieces + 1, loops + len(m.loops)
    return pieces, loops


def main():
    first, second, schema = sys.argv[1:4]
    read = lambda path: json.load(open(path, encoding="utf-8"))
    if second.isdigit():
        pairs = [(f"{first}/plan-{i}.json", f"{first}/run-{i}.json") for i in range(int(second))]
    else:
        pairs = [(first, second)]
    validator = jsonschema.Draft202012Validator(read(schema))
    pieces, loops = (sum(n) for n in zip(*(compare(read(p), read(r), validator) for p, r in pairs)))
    print(f"{pieces} pieces and {loops} loops agree")


if __name__ == "__main__":
    main()
