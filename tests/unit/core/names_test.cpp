// Every public word: there, unique within its enum, and back again where a reader needs it.
#include <doctest/doctest.h>

#include <set>
#include <string>

#include "core/alarm.hpp"
#include "core/channel.hpp"
#include "core/command.hpp"
#include "core/event.hpp"
#include "core/move.hpp"
#include "core/quality.hpp"
#include "core/snapshot.hpp"

using namespace drumwatch;

namespace {

/// All words from `first` to `last`, which must be the enum's last value: one more must have no word.
template <typename Enum, typename Speak>
std::set<std::string> words_up_to(Enum first, Enum last, Speak speak) {
    std::set<std::string> seen;
    for (int i = static_cast<int>(first); i <= static_cast<int>(last); ++i) {
        const std::string word(speak(static_cast<Enum>(i)));
        CHECK_MESSAGE(!word.empty(), "value ", i);
        CHECK_MESSAGE(word != "?", "value ", i);
        CHECK_MESSAGE(seen.insert(word).second, word);
    }
    CHECK(speak(static_cast<Enum>(static_cast<int>(last) + 1)) == "?");
    return seen;
}

template <typename Enum>
std::set<std::string> names_up_to(Enum first, Enum last) {
    return words_up_to(first, last, [](Enum value) { return name(value); });
}

}  // namespace

TEST_CASE("names: every enum of the public interface has a word for every value") {
    names_up_to(Milestone::charge, Milestone::drop);
    names_up_to(MarkSource::detected, MarkSource::mark);
    names_up_to(Control::burner, Control::airflow);
    names_up_to(LevelUnit::percent, LevelUnit::step);
    names_up_to(TriggerKind::at_s, TriggerKind::after_first_crack_s);
    names_up_to(TargetStatus::trial, TargetStatus::retired);
    names_up_to(Quality::good, Quality::reversed);
    names_up_to(ProbeDoubt::none, ProbeDoubt::apart_from_twin);
    names_up_to(Role::bean, Role::other);
    names_up_to(Priority::high, Priority::low);
    names_up_to(AlarmRule::bean_high_high, AlarmRule::sounder_failed);
    names_up_to(AlarmState::unknown, AlarmState::out_of_service);
    names_up_to(Pattern::off, Pattern::low);
    names_up_to(Disposition::clear, Disposition::unjudged);
    names_up_to(VerdictRule::far_outside, VerdictRule::probe_check_overdue);
    names_up_to(Health::bus_silent, Health::probe_check_overdue);
    names_up_to(CommandKind::mark, CommandKind::return_to_service);
    names_up_to(EventKind::milestone_set, EventKind::alarms_flood);
    names_up_to(PromptKind::move_due, PromptKind::mark_disagrees);
    names_up_to(FoundBy::nothing, FoundBy::lower_after_gap);
}

TEST_CASE("names: words of milestones and of judged moves are those of the public interface") {
    const auto milestones =
        words_up_to(Milestone::charge, Milestone::drop, [](Milestone value) { return words(value); });
    CHECK(milestones ==
          std::set<std::string>{"charge", "turning point", "yellow", "first crack", "second crack", "drop"});
    const auto judgements = words_up_to(MoveJudgement::waiting, MoveJudgement::wrong_level,
                                        [](MoveJudgement value) { return words(value); });
    CHECK(judgements ==
          std::set<std::string>{"waiting", "on time", "early", "late", "missed", "extra", "wrong level"});
}

TEST_CASE("names: milestones, controls and roles come back from their names") {
    for (std::size_t i = 0; i < kMilestones; ++i) {
        const auto milestone = static_cast<Milestone>(i);
        CHECK(milestone_from_name(name(milestone)) == milestone);
    }
    for (std::size_t i = 0; i < kControls; ++i) {
        const auto control = static_cast<Control>(i);
        CHECK(control_from_name(name(control)) == control);
    }
    for (int i = 0; i <= static_cast<int>(Role::other); ++i) {
        const auto role = static_cast<Role>(i);
        CHECK(role_from_name(name(role)) == role);
    }
    for (const char* wrong : {"", "?", "Charge", "turning point", "first_crack ", "bean_c"}) {
        CHECK(!milestone_from_name(wrong));
        CHECK(!control_from_name(wrong));
        CHECK(!role_from_name(wrong));
    }
}

TEST_CASE("names: units have the symbol of the screen and the suffix of a column") {
    CHECK(symbol(Unit::celsius) == "°C");
    CHECK(suffix(Unit::celsius) == "c");
    CHECK(symbol(Unit::kilopascal) == "kPa");
    CHECK(suffix(Unit::percent) == "pct");
    CHECK(symbol(Unit::none).empty());
    CHECK(suffix(Unit::none).empty());
    CHECK(symbol(static_cast<Unit>(7)) == "?");
}

TEST_CASE("names: the first channel of a role is found and an absent role is not") {
    ChannelTable channels(3);
    channels[0].role = Role::other;
    channels[1].role = Role::bean;
    channels[2].role = Role::bean;
    CHECK(find_role(channels, Role::bean) == 1);
    CHECK(!find_role(channels, Role::exhaust));
    CHECK(!find_role({}, Role::bean));
}

TEST_CASE("channels: the role needs a unit that can play it") {
    CHECK(make_channel("bean", Unit::celsius).role == Role::bean);
    CHECK(make_channel("bean", Unit::percent).role == Role::other);
    CHECK(make_channel("drum", Unit::celsius).role == Role::drum);
    CHECK(make_channel("drum", Unit::rpm).role == Role::drum_speed);
    CHECK(make_channel("burner", Unit::none).role == Role::burner);
    CHECK(make_channel("gas", Unit::kilopascal).role == Role::gas);
    CHECK(make_channel("carbon_monoxide", Unit::gram).role == Role::other);
    CHECK(make_channel("chimney", Unit::celsius).role == Role::other);
    CHECK(make_channel("chimney", Unit::celsius).name == "chimney");
    CHECK(make_channel("burner", Unit::percent).span_high_milli >= 100'000);
    CHECK(make_channel("bean", Unit::celsius).span_low_milli < 0);
}
