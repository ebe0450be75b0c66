// What the configuration says, in the shapes that engine and web server want. Pure.
#pragma once

#include "config/config.hpp"
#include "engine/begin.hpp"
#include "record/recorder.hpp"
#include "service/targets.hpp"
#include "web/api.hpp"

namespace drumwatch {

/// For a new watch at a start, labelled with now. `chosen` may be null; `alarms`: what outlives the restart.
Begin make_begin(const Config& config, const RecordFound& found, const OfferedTarget* chosen,
                 const AlarmBookMemory& alarms);
/// Gives a watch that begins now its times.
void label_now(Begin& begin);
StationFacts station_facts(const Config& config, std::vector<std::string> buses);
std::string record_sentence(const RecorderStatus& status);

}  // namespace drumwatch
