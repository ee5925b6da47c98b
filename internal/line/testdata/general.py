#!/usr/bin/env python3
"""A general simulation of a pour crew, to hold package line against.

People and things are processes that wait for each other: mixers, a helper at
the mix station who hands out buckets and starts, runners, the raker, a roller, a
caster. Nothing is shared with package line: no recursion, no tables, no whole
milliseconds, another language and another generator. Step times are drawn from
the distributions themselves. All figures are invented.

    python3 general.py DAYS > general.csv
"""
import heapq, math, random, sys


class World:
    """An event list and processes (generators) that wait on it."""

    def __init__(self):
        self.now, self.heap, self.n = 0.0, [], 0

    def at(self, t, fn):
        self.n += 1
        heapq.heappush(self.heap, (t, self.n, fn))

    def go(self, gen):
        self.step(gen, None)

    def step(self, gen, value):
        try:
            want = gen.send(value)
        except StopIteration:
            return
        if isinstance(want, float):
            self.at(self.now + max(0.0, want), lambda: self.step(gen, None))
        else:
            want.wait(self, gen)

    def run(self):
        while self.heap:
            self.now, _, fn = heapq.heappop(self.heap)
            fn()


class Shelf:
    """Things that are put down and taken, first come first served."""

    def __init__(self):
        self.things, self.takers = [], []

    def put(self, world, thing):
        if self.takers:
            gen = self.takers.pop(0)
            world.at(world.now, lambda: world.step(gen, thing))
        else:
            self.things.append(thing)

    def wait(self, world, gen):
        if self.things:
            thing = self.things.pop(0)
            world.at(world.now, lambda: world.step(gen, thing))
        else:
            self.takers.append(gen)


class Signal:
    """Something that happens once; whoever waits goes on."""

    def __init__(self):
        self.done, self.gens = False, []

    def fire(self, world):
        self.done = True
        for gen in self.gens:
            world.at(world.now, lambda g=gen: world.step(g, None))

    def wait(self, world, gen):
        if self.done:
            world.at(world.now, lambda: world.step(gen, None))
        else:
            self.gens.append(gen)


def draw(luck, d):
    kind = d[0]
    if kind == "none":
        return 0.0
    if kind == "fixed":
        return float(d[1])
    if kind == "lognormal":
        return d[1] * math.exp(d[2] * luck.gauss(0, 1))
    if kind == "triangular":
        return luck.triangular(d[1], d[3], d[2])
    return float(luck.choice(d[1:]))  # seen


class Day:
    def __init__(self, crew, luck):
        self.c, self.luck, self.w = crew, luck, World()
        n = crew["batches"]
        self.full, self.buckets, self.calls = Shelf(), Shelf(), Shelf()
        self.arrived = [Signal() for _ in range(n + 1)]
        self.raked = [Signal() for _ in range(n + 1)]
        self.pour, self.down, self.age = [0.0] * n, [0.0] * n, [0.0] * n
        self.ready, self.done = 0, 0.0
        self.rolled = [Signal() for _ in range(n + 1)]
        self.started, self.left = -math.inf, n
        self.last_arrival = -math.inf

    def walk(self, metres_s):
        return metres_s * math.exp(self.c["walk_spread"] * self.luck.gauss(0, 1))

    # The mix station.

    def mixer(self, i):
        c, start = self.c, Signal()
        clear = 0.0  # everything is clean at the start
        while True:
            start = Signal()
            self.calls.put(self.w, (start, self.w.now + clear))
            yield start
            began = self.w.now
            yield draw(self.luck, c["mix"][i])
            self.out(began + c["reaction"])
            clear = draw(self.luck, c["clear"][i])

    def mixing(self, i, since):
        """A mixer seen in the middle of a batch."""
        while True:
            whole = draw(self.luck, self.c["mix"][i])
            if whole >= since:
                break
        self.left -= 1
        yield whole - since
        self.out(-since + self.c["reaction"])
        clear = draw(self.luck, self.c["clear"][i])
        while True:
            start = Signal()
            self.calls.put(self.w, (start, self.w.now + clear))
            yield start
            began = self.w.now
            yield draw(self.luck, self.c["mix"][i])
            self.out(began + self.c["reaction"])
            clear = draw(self.luck, self.c["clear"][i])

    def out(self, reaction):
        self.full.put(self.w, (self.ready, reaction))
        self.ready += 1

    def helper(self):
        """Serves calls in turn: a bucket, a clean mixer, the pace."""
        while self.left > 0:
            start, clean = yield self.calls
            yield self.buckets
            wait = max(clean, self.started + self.c["interval"]) - self.w.now
            if wait > 0:
                yield wait
            self.started = self.w.now
            self.left -= 1
            start.fire(self.w)

    # The way and the front.

    def runner(self, first=None):
        c, w = self.c, self.w
        if first is not None:
            k, reaction, since = first
            yield max(0.0, self.walk(c["full"]) - since)
            yield from self.front(k, reaction)
        while True:
            k, reaction = yield self.full
            yield self.walk(c["full"])
            yield from self.front(k, reaction)

    def front(self, k, reaction):
        c, w = self.c, self.w
        if k > 0:
            yield self.arrived[k - 1]
        yield max(0.0, self.last_arrival + c["headway"] - w.now)
        self.last_arrival = w.now
        self.arrived[k].fire(w)
        if k > 0:
            yield self.raked[k - 1]
            turn = c["turn"] if c["row"] and k % c["row"] == 0 else 0.0
            yield max(0.0, self.down[k - 1] + turn - w.now)
        yield max(0.0, c.get("rake_free", 0.0) - w.now)
        self.pour[k] = w.now
        yield draw(self.luck, c["pour"])
        self.age[k] = w.now - reaction
        w.go(self.raker(k))
        yield self.walk(c["empty"])
        self.buckets.put(w, 1)

    def raker(self, k):
        c, w = self.c, self.w
        yield draw(self.luck, c["rake"])
        self.down[k] = w.now
        self.raked[k].fire(w)
        if k > 0:
            yield self.rolled[k - 1]
        yield draw(self.luck, c["roll"])
        self.rolled[k].fire(w)
        self.done = w.now

    def run(self):
        c = self.c
        st = c.get("state", {})
        carried = st.get("carried", [])
        for _ in range(c["buckets"] - len(carried) - len(st.get("mixing", {}))):
            self.buckets.put(self.w, 1)
        self.left -= len(carried)
        for reaction, since in carried:
            self.w.go(self.runner((self.ready, reaction, since)))
            self.ready += 1
        for _ in range(c["runners"] - len(carried)):
            self.w.go(self.runner())
        if st.get("mixing"):
            self.started = -min(st["mixing"].values())
        for i in range(len(c["mix"])):
            if i not in st.get("mixing", {}):
                self.w.go(self.mixer(i))
        for i, since in st.get("mixing", {}).items():
            self.w.go(self.mixing(i, since))
        self.w.go(self.helper())
        self.w.run()
        return self.judge()

    def laid(self, v):
        """When path volume v was laid: even from pour to raked."""
        c = self.c
        k = min(int(v / c["litres"] + 1e-12), c["batches"] - 1)
        return k, self.pour[k] + (v / c["litres"] - k) * (self.down[k] - self.pour[k])

    def judge(self):
        c = self.c
        slack = math.inf
        for close, span, life in c["edges"]:
            opened, t0 = self.laid(close - span)
            _, t1 = self.laid(close)
            spent = max(0.0, self.age[opened] - c["planned"]) / c["life"] if c["planned"] else 0.0
            slack = min(slack, life * (1 - spent) - c["margin"] - (t1 - t0))
        oldest = max(self.age)
        return self.down[-1], self.done, slack, oldest


def crew(name, **kw):
    c = dict(name=name, batches=40, runners=2, buckets=6, full=25.0, empty=20.0, walk_spread=0.1, headway=0.0,
             pour=("lognormal", 30, 0.15), rake=("lognormal", 40, 0.12), roll=("lognormal", 20, 0.12),
             row=0, turn=0.0, interval=0.0, reaction=30.0, litres=13.0, margin=60.0, life=600.0, bucket_margin=60.0, planned=0.0)
    c.update(kw)
    # Every edge waits for span litres; eight of them on each batch.
    span, life = c.pop("span"), c.pop("edge_life")
    v, edges = span, []
    while v < c["batches"] * c["litres"] - 1e-9:
        edges.append((v, span, life))
        v += c["litres"] / 8
    c["edges"], c["span"], c["edge_life"] = edges, span, life
    return c


LN = "lognormal"
CREWS = [
    crew("three mixers paced", mix=[(LN, 165, 0.08)] * 3, clear=[(LN, 95, 0.15)] * 3, interval=95.0, span=40.0, edge_life=403.0, life=288.0),
    crew("one mixer, one runner", mix=[(LN, 165, 0.10)], clear=[(LN, 100, 0.2)], runners=1, buckets=3, batches=30, span=14.0, edge_life=402.0, life=294.0),
    crew("far station, few buckets", mix=[(LN, 150, 0.08)] * 2, clear=[(LN, 60, 0.15)] * 2, runners=1, buckets=3, full=60.0, empty=50.0, walk_spread=0.2,
         span=27.0, edge_life=415.0, life=474.0),
    crew("four mixers, headway, rolled", mix=[(LN, 170, 0.10)] * 4, clear=[(LN, 90, 0.15)] * 4, runners=3, buckets=9, batches=60, headway=12.0,
         pour=(LN, 25, 0.2), rake=(LN, 32, 0.2), roll=(LN, 45, 0.3), interval=62.0, span=60.0, edge_life=450.0, life=323.0),
    crew("two unlike mixers, turns, spent life", mix=[(LN, 150, 0.06), ("triangular", 150, 180, 260)], clear=[(LN, 80, 0.1), (LN, 110, 0.2)], row=4, turn=30.0,
         interval=118.0, planned=235.0, span=40.0, edge_life=700.0, life=340.0),
    crew("the day's own times", mix=[("seen", 150, 152, 155, 158, 160, 161, 165, 240)] * 2, clear=[("seen", 80, 90, 95, 130)] * 2, interval=130.0,
         rake=("seen", 40, 42, 45, 80), span=27.0, edge_life=460.0, life=334.0),
    crew("from the middle of the day", mix=[(LN, 165, 0.10)] * 3, clear=[(LN, 95, 0.15)] * 3, batches=25, interval=95.0, rake_free=35.0,
         state=dict(carried=[(-190.0, 12.0)], mixing={0: 100.0, 2: 20.0}), span=40.0, edge_life=406.0, life=318.0),
]


def tell(d):
    return " ".join(str(x) for x in d)


def main():
    days = int(sys.argv[1])
    only = sys.argv[2:]
    print("# A general simulation of the crew line: general.py beside this table, %d days a crew, Python's random.Random(7)." % days)
    print("# Times in seconds, volumes in litres. mix, clear: one for each mixer, split by |. state: carried = reaction,since; mixing = mixer:since; rake = free in.")
    print("crew,batches,mix,clear,runners,buckets,full,empty,walk_spread,headway,pour,rake,roll,row,turn,interval,reaction,litres,span,edge_life,margin,"
          "life,bucket_margin,planned,state,days,edges_hold,buckets_hold,both_hold,laid10,laid50,laid90,laid_sd,done50,done_sd,source")
    for c in CREWS:
        if only and c["name"] not in only:
            continue
        luck = random.Random(7)
        laid, done, e, b, q = [], [], 0, 0, 0
        for _ in range(days):
            t, u, slack, oldest = Day(c, luck).run()
            laid.append(t)
            done.append(u)
            ok, live = slack >= 0, oldest <= c["life"] - c["bucket_margin"]
            e, b, q = e + ok, b + live, q + (ok and live)
        laid.sort()
        done.sort()

        def at(list, p):
            h = p * (len(list) - 1)
            i = int(h)
            return list[i] + (h - i) * (list[min(i + 1, len(list) - 1)] - list[i])

        def sd(list):
            m = sum(list) / len(list)
            return math.sqrt(sum((x - m) ** 2 for x in list) / (len(list) - 1))

        st = c.get("state", {})
        state = " ".join(["carried=%g;%g" % x for x in st.get("carried", [])] + ["mixing=%d:%g" % x for x in st.get("mixing", {}).items()] +
                         (["rake=%g" % c["rake_free"]] if "rake_free" in c else []))
        row = [c["name"].replace(",", ";"), c["batches"], "|".join(map(tell, c["mix"])), "|".join(map(tell, c["clear"])), c["runners"], c["buckets"], c["full"],
               c["empty"], c["walk_spread"], c["headway"], tell(c["pour"]), tell(c["rake"]), tell(c["roll"]), c["row"], c["turn"], c["interval"],
               c["reaction"], c["litres"], c["span"], c["edge_life"], c["margin"], c["life"], c["bucket_margin"], c["planned"], state, days,
               "%.6f" % (e / days), "%.6f" % (b / days), "%.6f" % (q / days), "%.3f" % at(laid, 0.1), "%.3f" % at(laid, 0.5), "%.3f" % at(laid, 0.9),
               "%.3f" % sd(laid), "%.3f" % at(done, 0.5), "%.3f" % sd(done), "general.py beside this table; invented crew"]
        print(",".join(map(str, row)))
        sys.stdout.flush()


main()
