// A sounder desk in stepped time over a made chip: called when it asks to be, or up to `late_ms` later.
#pragma once

#include <algorithm>
#include <memory>
#include <string>
#include <vector>

#include "sounders/sounder_desk.hpp"
#include "unit/sounders/made_chip.hpp"

namespace drumwatch {

struct SteppedDesk {
    MadeChip made;
    SounderSettings settings;
    SounderOrder order;
    std::vector<SounderNews> news;
    std::vector<SounderTest> tests;
    std::unique_ptr<SounderDesk> desk;
    std::int64_t began_ms = made.now_ms;
    std::int64_t next_tell_ms = 0;
    bool telling = true;  ///< the core speaks four times a second

    SounderOutput& add_line(std::uint32_t offset) {
        SounderOutput& output = settings.outputs.emplace_back();
        output.name = "line " + std::to_string(offset);
        output.line = made.line(offset);
        return output;
    }
    void start() {
        SounderCalls calls;
        calls.changed = [this](const SounderNews& one) { news.push_back(one); };
        calls.tested = [this](const SounderTest& one) { tests.push_back(one); };
        desk = std::make_unique<SounderDesk>(settings, calls);
        run(0);
    }
    std::int64_t now() const { return made.now_ms - began_ms; }
    void tell() {
        desk->hear(order, made.now_ms, made.now_ms);
        next_tell_ms = made.now_ms + 250;
    }
    void tell(SounderSignal signal, std::uint32_t onset = 0) {
        order.signal = signal;
        order.onset = onset;
        tell();
        run(0);
    }
    /// Steps until `how_long` ms have passed.
    template <typename Late>
    void run(std::int64_t how_long, Late late) {
        const std::int64_t end = made.now_ms + how_long;
        for (int steps = 0; steps < 1'000'000; ++steps) {
            if (telling && made.now_ms >= next_tell_ms) tell();
            const Due due = desk->step(made.now_ms);
            std::int64_t next = std::max(made.now_ms, due.value_or(end + 1)) + late();
            if (telling) next = std::min(next, next_tell_ms);
            if (next > end) break;
            made.now_ms = next;
        }
        made.now_ms = end;
    }
    void run(std::int64_t how_long) {
        run(how_long, [] { return 0; });
    }

    /// When a line changed, from the start of the desk; it begins with going on.
    std::vector<std::int64_t> edges(std::uint32_t offset) const {
        std::vector<std::int64_t> times;
        bool on = false;
        for (const auto& one : made.chip.switched()) {
            if (one.offset != offset || one.level == on) continue;
            on = one.level;
            times.push_back(one.at_ms - began_ms);
        }
        return times;
    }
};

using Times = std::vector<std::int64_t>;

}  // namespace drumwatch
