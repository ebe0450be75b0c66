#include "watch/watch_text.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <limits>

#include "core/frame_text.hpp"
#include "support/stride.hpp"
#include "support/targets.hpp"
#include "watch/frame_back.hpp"

using namespace drumwatch;

namespace {

VerdictView full_verdict(const TargetPtr& target) {
    VerdictView view;
    view.verdict.roast = 98;
    view.verdict.disposition = Disposition::hold;
    view.verdict.reasons.push_back({VerdictRule::move_off, Disposition::taste, 45.1, 10,
                                    std::numeric_limits<double>::quiet_NaN(), 2, Control::airflow, 33.3});
    view.charge = Tick{60'250};
    view.dropped = Tick{700'500};
    view.roast_s = 640.25;
    view.milestones[static_cast<std::size_t>(Milestone::yellow)] =
        MilestoneAt{Tick{1}, std::nullopt, MarkSource::mark};
    view.milestones[0] = MilestoneAt{Tick{60'250}, 195'300, MarkSource::detected};
    view.deviation = {-3.3, 100.25, 5, 6, 7, 8, 0.1, 9, -10};
    MoveView move;
    move.control = Control::airflow;
    move.unit = LevelUnit::kilopascal;
    move.planned = 2;
    move.trigger = {TriggerKind::after_first_crack_s, 20.5};
    move.planned_level = 2.5;
    move.made_at_s = 1.0 / 3;
    move.error_s = -0.1;
    move.judgement = MoveJudgement::wrong_level;
    view.moves.push_back(move);
    view.target = target;
    return view;
}

Carried full_carried(const TargetPtr& target) {
    Carried carried;
    carried.first = Tick{7'200'250};
    carried.alarms.occurrences = 12;
    carried.alarms.sounding = Pattern::medium;
    carried.alarms.sounding_since = Tick{7'000'000};
    AlarmMemory& alarm = carried.alarms.alarms[static_cast<std::size_t>(AlarmRule::bean_high_high)];
    alarm = {AlarmState::latched_unacknowledged,
             11,
             true,
             true,
             true,
             true,
             Tick{5},
             7,
             5,
             Tick{6},
             Tick{8},
             Tick{9},
             SuppressedBy::higher_alarm,
             2,
             {}};
    alarm.judged.condition = Condition::between;
    alarm.judged.priority = Priority::high;
    alarm.judged.value_milli = 241'000;
    alarm.judged.limit_milli = 240'000;
    alarm.judged.members = 3;
    carried.alarms.onsets.add(6'900'000);
    carried.alarms.onsets.add(6'950'000);
    carried.alarms.flood = true;
    carried.alarms.alarms[static_cast<std::size_t>(AlarmRule::disk_low)].state = AlarmState::out_of_service;
    PutAsideNotes notes;
    notes[static_cast<std::size_t>(AlarmRule::disk_low)] = {"Ines", "a \"new\" disk"};
    carried.alarms.notes = std::make_shared<const PutAsideNotes>(notes);
    carried.failed_sounders = 2;
    carried.cooling = CoolingView{98, Tick{7'100'000}, 55.5};
    carried.last_verdict = full_verdict(target);
    carried.last_drop = Tick{7'100'000};
    carried.silent_buses = 2;
    carried.health_bad = 8;
    carried.failed_sounders = 5;
    Frame frame;
    frame.tick = Tick{7'200'000};
    frame.channels = 2;
    frame.samples[0] = {201'300, Quality::suspect, true};
    frame.samples[1] = {0, Quality::never_read, false};
    carried.warm_up = {frame};
    return carried;
}

Begin full_begin() {
    Begin begin;
    begin.watch = 17;
    begin.build = "0.1.0";
    begin.config_hash = "ab12";
    begin.wall.unix_ms = 1'764'000'000'123;
    Channel bean;
    bean.name = "bean";
    bean.role = Role::bean;
    bean.probe_lag_ms = 4'000;
    bean.twin = 1;
    bean.twin_limit_milli = 3'500;
    Channel burner;
    burner.name = "burner";
    burner.role = Role::burner;
    burner.unit = Unit::percent;
    burner.span_high_milli = 100'000;
    begin.settings.channels = {bean, burner};
    begin.settings.bean_buses = 5;
    begin.settings.alarms[AlarmRule::exhaust_high] = {true, 287.3, 0.1, 5000, 15000, Priority::low, true};
    Target target = straight_target();
    target.moves = {planned(Control::airflow, 33.3, TriggerKind::bean_c, 150.1)};
    target.tolerance.bean_c = 1.1;
    begin.target = share(target);
    begin.next_roast = 99;
    begin.lessons = {3, 197.0 + 1.0 / 3, 0.1, 2.8, 0.03, 1.9};
    begin.idle_ms = 54'321;
    begin.boot = "5d7c";
    begin.boot_ms = 77'000;
    begin.carried = full_carried(begin.target);
    return begin;
}

}  // namespace

TEST_CASE("a Begin comes back from its text without loss") {
    const std::string text = begin_text(full_begin());
    const auto back = parse_begin(text);
    REQUIRE_MESSAGE(back.ok(), (back.ok() ? "" : back.error()));
    CHECK(begin_text(back.value()) == text);
    CHECK(back.value().lessons.crack_c == 197.0 + 1.0 / 3);
    CHECK(back.value().target->moves[0].to == 33.3);
    CHECK(back.value().settings.alarms[AlarmRule::exhaust_high].priority == Priority::low);
    CHECK(back.value().settings.channels[1].unit == Unit::percent);
    CHECK(back.value().settings.channels[0].probe_lag_ms == 4'000);
    CHECK(back.value().settings.channels[0].twin == std::uint8_t{1});
    CHECK(back.value().settings.channels[0].twin_limit_milli == 3'500);
    const Carried& carried = back.value().carried;
    CHECK(carried.failed_sounders == 5);
    CHECK(carried.alarms.alarms[0].judged.condition == Condition::between);
    REQUIRE(carried.alarms.notes != nullptr);
    CHECK((*carried.alarms.notes)[static_cast<std::size_t>(AlarmRule::disk_low)] ==
          PutAsideNote{"Ines", "a \"new\" disk"});
    CHECK(carried.last_verdict->moves[0].made_at_s == 1.0 / 3);
    CHECK(std::isnan(carried.last_verdict->verdict.reasons[0].extra));
    CHECK(carried.warm_up[0].samples[0] == Sample{201'300, Quality::suspect, true});
    Begin bare;
    CHECK(begin_text(parse_begin(begin_text(bare)).value()) == begin_text(bare));
}

TEST_CASE("a Begin cut at any byte, or with a key missing, is refused with a sentence") {
    const std::string text = begin_text(full_begin());
    for (std::size_t i = 0; i < text.size(); i += kStride) REQUIRE_FALSE(parse_begin(text.substr(0, i)).ok());
    for (const char* key : {"\"watch\"", "\"settings\"", "\"target\"", "\"lessons\"", "\"bean_high_high\""}) {
        std::string other = text;
        other[other.find(key) + 1] = 'X';
        const auto read = parse_begin(other);
        REQUIRE_FALSE(read.ok());
        CHECK(read.error().find("can't be read") != std::string::npos);
    }
}

TEST_CASE("a Begin of a build that handed nothing on is read all the same") {
    std::string text = begin_text(full_begin());
    text.replace(text.find(",\"carried\""), std::string::npos, "}");
    const auto back = parse_begin(text);
    REQUIRE(back.ok());
    CHECK(back.value().carried.first.ms == 0);
    CHECK(back.value().carried.warm_up.empty());
}

TEST_CASE("a frame comes back from its line, and a broken line is refused") {
    const std::string line = R"({"frame":1250,"samples":[[201300,"good",1],[0,"stale",0]]})";
    const auto frame = parse_frame(line);
    REQUIRE(frame.ok());
    CHECK(frame.value().tick.ms == 1250);
    CHECK(frame_text(frame.value()) == line);
    const std::string extremes =
        R"({"frame":-9223372036854775808,"samples":[[-2147483648,"suspect",0],[-7,"good",1]]})";
    REQUIRE(parse_frame(extremes).ok());
    CHECK(frame_text(parse_frame(extremes).value()) == extremes);
    CHECK(frame_text(Frame{}) == R"({"frame":0,"samples":[]})");
    for (std::size_t i = 0; i < line.size(); ++i) REQUIRE_FALSE(parse_frame(line.substr(0, i)).ok());
    CHECK_FALSE(parse_frame(R"({"frame":1250,"samples":[[201300,"splendid",1]]})").ok());
}

TEST_CASE("every kind of command comes back from its text") {
    for (int kind = 0; kind <= static_cast<int>(CommandKind::return_to_service); ++kind) {
        Command command;
        command.kind = static_cast<CommandKind>(kind);
        CAPTURE(name(command.kind));
        command.tick = Tick{61'250};
        command.at = Tick{60'000};
        command.was = Tick{59'000};
        command.milestone = Milestone::second_crack;
        command.occurrence = 12;
        command.control = Control::airflow;
        command.level_milli = 45'500;
        command.target = share(straight_target());
        command.lessons = {2, 198.7, 1.25, 1.9, -0.02, 1.0};
        command.text = "spilt, \"to the bin\"";
        const std::string text = command_text(command);
        const auto back = parse_command(text);
        REQUIRE_MESSAGE(back.ok(), (back.ok() ? "" : back.error()));
        CHECK(command_text(back.value()) == text);
    }
    CHECK(command_text({}, Refusal::no_roast).find("nothing is in the drum") != std::string::npos);
    CHECK_FALSE(parse_command(R"({"kind":"dance","tick_ms":1})").ok());
}

TEST_CASE("observations come back by their words, unknown ones are refused") {
    const auto back = parse_observation(Tick{5}, "disk_low", 3, true);
    REQUIRE(back.ok());
    CHECK(back.value() == Observation{Tick{5}, Health::disk_low, 3, true});
    CHECK_FALSE(parse_observation(Tick{5}, "sunshine", 0, true).ok());
}
