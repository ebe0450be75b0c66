// The faults of probes: each quality and doubt that tells of the probe itself has one, under the same word.
#include "core/probe_fault.hpp"

#include <doctest/doctest.h>

#include <set>

using namespace drumwatch;

TEST_CASE("probe faults: named as the quality or the doubt that they are, each with words of its own") {
    std::set<std::string_view> names;
    std::set<std::string_view> advice;
    const auto take = [&](ProbeFault fault, std::string_view word) {
        CHECK(name(fault) == word);
        CHECK(sentence(fault).back() == '.');
        CHECK(names.insert(word).second);
        CHECK(advice.insert(look_first(fault)).second);
    };
    for (int i = 0; i < kQualities; ++i) {
        const auto quality = static_cast<Quality>(i);
        if (fault_of(quality) != ProbeFault::none) take(fault_of(quality), name(quality));
    }
    for (int i = 1; i < kProbeDoubts; ++i)
        take(fault_of(static_cast<ProbeDoubt>(i)), name(static_cast<ProbeDoubt>(i)));
    CHECK(names.size() + 1 == kProbeFaults);
    CHECK(fault_of(ProbeDoubt::none) == ProbeFault::none);
    for (const Quality of_link :
         {Quality::good, Quality::never_read, Quality::bus_silent, Quality::bad_reply})
        CHECK(fault_of(of_link) == ProbeFault::none);
}
