// Sentences for people, made at the edge (page, journal, terminal) from codes and numbers. PURE; any thread.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "core/event.hpp"
#include "core/snapshot.hpp"
#include "core/verdict.hpp"

namespace drumwatch {

/// "End temperature 213.9 °C is 1.9 °C over the target's 212.0 °C (limit 1.1 °C)." and the like.
std::string words(const Reason& reason);
/// One alarm in a sentence: what is wrong, with value, limit and unit. `channels` names its members.
std::string words(const AlarmView& alarm, const ChannelTable& channels);
std::string words(const PromptView& prompt, const Snapshot& snapshot);
/// By what a milestone was found; empty for a mark.
std::string words(const MilestoneWhy& why);
std::string words(NoForecast why);
/// One item a bit of ReadyMissing.
std::vector<std::string> words(const ReadyView& ready);
/// What was raised, cleared, shelved and so on; of an alarm's event only.
std::string words_of_alarm(const Event& event);
std::string_view words(Quality quality);
/// A journal line's tail: what happened, without the tick.
std::string words(const Event& event);

/// "0:47", "9:05"; a minus sign in front where negative.
std::string minutes_seconds(double seconds);
std::string words_level(double level, LevelUnit unit);  ///< rounded to tenths, kPa to hundredths: "51.5 %"

}  // namespace drumwatch
