"""What there is to look on at: every reader gets everything once, at its own pace, from any thread."""

from __future__ import annotations

import json
import random
import threading

from tui.classroom.broadcast import MOST_POINTS, Broadcast, Had


def begin(broadcast: Broadcast, title: str = "strand") -> None:
    broadcast.begin("a.pull.csv", title, "rig", 20.0, simulated=True)


def test_a_reader_that_comes_late_gets_all_of_it() -> None:
    broadcast = Broadcast()
    begin(broadcast)
    broadcast.grow([0.0, 1.0, 2.0], [0.0, 0.1, 0.2])
    broadcast.show_result({"title": "x"})
    news = broadcast.news(Had())
    assert news["pull"]["x"] == [0.0, 1.0, 2.0]
    assert news["pull"]["phase"] == "pulling"
    assert news["result"] == {"title": "x"}
    assert "reel" not in news


def test_each_reader_gets_every_point_once_however_slow_it_is() -> None:
    broadcast = Broadcast()
    begin(broadcast)
    dice = random.Random(1)
    readers = [(Had(), list[float]()) for _ in range(5)]
    for step in range(400):
        broadcast.grow([float(step)], [0.001 * step])
        for number, (had, seen) in enumerate(readers):
            if dice.random() < 1 / (1 + 10 * number):
                news = broadcast.news(had)["pull"]
                assert news["from"] == len(seen)
                seen.extend(news["x"])
    for had, seen in readers:
        seen.extend(broadcast.news(had)["pull"]["x"])
        assert seen == [float(step) for step in range(400)]


def test_a_new_pull_begins_anew_for_everybody() -> None:
    broadcast = Broadcast()
    had = Had()
    begin(broadcast)
    broadcast.grow([0.0, 1.0], [0.0, 0.1])
    broadcast.news(had)
    begin(broadcast, "next")
    broadcast.grow([0.0], [0.0])
    news = broadcast.news(had)["pull"]
    assert (news["number"], news["title"], news["from"], news["x"]) == (2, "next", 0, [0.0])


def test_fine_points_are_left_out_but_never_the_newest_reading() -> None:
    broadcast = Broadcast()
    begin(broadcast)
    for number in range(5000):
        broadcast.grow([number / 1000], [0.0])
    pull = broadcast.news(Had())["pull"]
    assert len(pull["x"]) < 300
    assert pull["now"] == (4.999, 0.0)


def test_a_pull_without_end_does_not_fill_the_memory() -> None:
    broadcast = Broadcast()
    begin(broadcast)
    broadcast.grow([float(n) for n in range(MOST_POINTS + 500)], [0.0] * (MOST_POINTS + 500))
    assert len(broadcast.news(Had())["pull"]["x"]) == MOST_POINTS


def test_the_moment_of_break_is_before_the_fall() -> None:
    broadcast = Broadcast()
    begin(broadcast)
    xs = [n / 10 for n in range(420)]
    broadcast.grow(xs, [min(0.4, x * 0.16) + 0.01 * max(0.0, x - 28) for x in xs])
    assert broadcast.news(Had())["pull"]["broke"] is None
    broadcast.grow([42.0, 42.0, 42.1, 42.1, 42.2], [0.45, 0.2, 0.1, 0.0, 0.0])
    assert broadcast.news(Had())["pull"]["broke"] == [41.9, 0.539]


def test_one_reading_that_is_far_off_is_no_break() -> None:
    broadcast = Broadcast()
    begin(broadcast)
    broadcast.grow([n / 10 for n in range(100)], [0.05 * n / 10 for n in range(100)])
    broadcast.grow([10.0], [9.9])
    broadcast.grow([10.1], [0.5])
    broadcast.grow([10.2], [0.0])
    broadcast.grow([10.3], [0.52])
    assert broadcast.news(Had())["pull"]["broke"] is None


def test_waiting_ends_with_news_and_with_the_end() -> None:
    broadcast = Broadcast()
    had = Had()
    broadcast.news(had)
    assert not broadcast.wait(had, 0.01)
    found = []
    reader = threading.Thread(target=lambda: found.append(broadcast.wait(had, 30.0)))
    reader.start()
    broadcast.tell_rig("bench", "", simulated=False)
    reader.join(10.0)
    assert found == [True]
    broadcast.news(had)
    broadcast.tell_rig("bench", "", simulated=False)
    assert not broadcast.wait(had, 0.01), "the same again is no news"
    closer = threading.Thread(target=broadcast.close)
    closer.start()
    broadcast.wait(had, 30.0)
    closer.join(10.0)
    assert broadcast.closed


def test_all_of_it_is_json() -> None:
    broadcast = Broadcast()
    json.dumps(broadcast.news(Had()), allow_nan=False)
    begin(broadcast)
    broadcast.grow([1.0], [2.0])
    json.dumps(broadcast.news(Had()), allow_nan=False)
