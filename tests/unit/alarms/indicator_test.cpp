// Lights of a stack. The flash is as long on as off, as IEC 60073 has it (from memory); which colour belongs
// to which priority is judgement.
#include "alarms/indicator.hpp"

#include <doctest/doctest.h>

using namespace drumwatch;

namespace {

Snapshot with(std::initializer_list<AlarmView> alarms, std::int64_t now_ms) {
    Snapshot now;
    now.tick = {now_ms};
    for (const AlarmView& alarm : alarms) now.alarms.push_back(alarm);
    return now;
}

AlarmView alarm(Priority priority, AlarmState state, std::int64_t since_ms) {
    AlarmView view;
    view.priority = priority;
    view.state = state;
    view.since = {since_ms};
    return view;
}

}  // namespace

TEST_CASE("a light flashes for what is not acknowledged, from the moment on at which it came") {
    const AlarmView hot = alarm(Priority::high, AlarmState::unacknowledged, 300);
    std::string seen;
    for (std::int64_t now = 300; now < 4'300; now += 250)
        seen += lit(Indicator::red, with({hot}, now)) ? 'x' : '.';
    CHECK(seen == "xxxx....xxxx....");
    for (std::int64_t now = 300; now < 4'300; now += 250) {
        CHECK_FALSE(lit(Indicator::yellow, with({hot}, now)));
        CHECK_FALSE(lit(Indicator::blue, with({hot}, now)));
        CHECK_FALSE(lit(Indicator::white, with({hot}, now)));
    }
}

TEST_CASE("it is steady once all of its priority are acknowledged, and off without one") {
    const AlarmView seen = alarm(Priority::medium, AlarmState::acknowledged, 0);
    const AlarmView latched = alarm(Priority::medium, AlarmState::latched_acknowledged, 0);
    for (std::int64_t now = 0; now < 4'000; now += 250) {
        CHECK(lit(Indicator::yellow, with({seen, latched}, now)));
        CHECK_FALSE(lit(Indicator::yellow, with({}, now)));
    }
}

TEST_CASE("one that is over but not acknowledged still flashes, beside others that are") {
    const AlarmView seen = alarm(Priority::low, AlarmState::acknowledged, 0);
    for (const AlarmState state : {AlarmState::returned_unacknowledged, AlarmState::latched_unacknowledged}) {
        const AlarmView over = alarm(Priority::low, state, 2'000);
        CHECK(lit(Indicator::blue, with({seen, over}, 2'999)));
        CHECK_FALSE(lit(Indicator::blue, with({seen, over}, 3'000)));
        CHECK(lit(Indicator::blue, with({seen, over}, 4'000)));
    }
    // The newest one begins the flashing anew.
    const AlarmView first = alarm(Priority::low, AlarmState::unacknowledged, 0);
    const AlarmView second = alarm(Priority::low, AlarmState::unacknowledged, 1'500);
    CHECK(lit(Indicator::blue, with({second, first}, 1'500)));
}

TEST_CASE("an alarm that is put aside lights nothing") {
    for (const AlarmState state : {AlarmState::shelved, AlarmState::suppressed, AlarmState::out_of_service})
        CHECK_FALSE(lit(Indicator::yellow, with({alarm(Priority::medium, state, 0)}, 0)));
}

TEST_CASE("the white light shows prompts, the buzzer the sounder's pulses") {
    Snapshot now;
    now.prompts.push_back({});
    CHECK(lit(Indicator::white, now));
    CHECK_FALSE(lit(Indicator::buzzer, now));
    now.sounder.on = true;
    CHECK(lit(Indicator::buzzer, now));
}
