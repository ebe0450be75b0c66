#include "watch/watch_text.hpp"

#include <doctest/doctest.h>

#include "support/targets.hpp"

using namespace drumwatch;

namespace {

Begin full_begin() {
    Begin begin;
    begin.watch = 17;
    begin.build = "0.1.0";
    begin.config_hash = "ab12";
    begin.wall.unix_ms = 1'764'000'000'123;
    Channel bean;
    bean.name = "bean";
    bean.role = Role::bean;
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
    begin.lessons = {3, 197.0 + 1.0 / 3, 0.1};
    begin.idle_ms = 54'321;
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
    Begin bare;
    CHECK(begin_text(parse_begin(begin_text(bare)).value()) == begin_text(bare));
}

TEST_CASE("a Begin cut at any byte, or with a key missing, is refused with a sentence") {
    const std::string text = begin_text(full_begin());
    for (std::size_t i = 0; i < text.size(); ++i) REQUIRE_FALSE(parse_begin(text.substr(0, i)).ok());
    for (const char* key : {"\"watch\"", "\"settings\"", "\"target\"", "\"lessons\"", "\"bean_high_high\""}) {
        std::string other = text;
        other[other.find(key) + 1] = 'X';
        const auto read = parse_begin(other);
        REQUIRE_FALSE(read.ok());
        CHECK(read.error().find("can't be read") != std::string::npos);
    }
}

TEST_CASE("every kind of command comes back from its text") {
    for (int kind = 0; kind <= static_cast<int>(CommandKind::abort_roast); ++kind) {
        Command command;
        command.kind = static_cast<CommandKind>(kind);
        CAPTURE(name(command.kind));
        command.tick = Tick{61'250};
        command.at = Tick{60'000};
        command.milestone = Milestone::second_crack;
        command.occurrence = 12;
        command.control = Control::airflow;
        command.level_milli = 45'500;
        command.target = share(straight_target());
        command.lessons = {2, 198.7, 1.25};
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
