// An alarm book in stepped time, four rounds a second, with a roast in the drum and all well.
#pragma once

#include <doctest/doctest.h>

#include "alarms/alarm_book.hpp"

namespace drumwatch {

class AlarmBench {
  public:
    AlarmInputs inputs;
    AlarmBook book{AlarmSettings{}};
    Tick now;

    AlarmBench() {
        inputs.bean = {true, Quality::good, 200'000};
        inputs.exhaust = {true, Quality::good, 220'000};
        inputs.roasting = true;
        inputs.bean_buses = 1;
    }
    AlarmBook::Edges tick() {
        const auto edges = book.round(now, inputs);
        now = now + 250;
        return edges;
    }
    /// Ticks until something happens; gives the milliseconds from the first of them, or -1.
    std::int64_t until_edge(EventKind kind, AlarmRule rule, std::int64_t limit_ms = 60'000) {
        const Tick begin = now;
        while (now - begin <= limit_ms) {
            const Tick at = now;
            for (const Event& edge : tick()) {
                if (edge.kind == kind && edge.rule == rule) return at - begin;
            }
        }
        return -1;
    }
    void bean(double celsius) { inputs.bean.value_milli = *to_milli(celsius); }
    AlarmState state(AlarmRule rule) {
        for (const AlarmView& view : book.present()) {
            if (view.rule == rule) return view.state;
        }
        return AlarmState::normal;
    }
    std::uint64_t occurrence(AlarmRule rule) {
        for (const AlarmView& view : book.present()) {
            if (view.rule == rule) return view.occurrence;
        }
        return 0;
    }
};

}  // namespace drumwatch
