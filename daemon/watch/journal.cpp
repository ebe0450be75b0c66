#include "watch/journal.hpp"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "core/words.hpp"

namespace drumwatch {

namespace {

std::string body_of(const Event& event) {
    using Json = nlohmann::ordered_json;
    const Json json = {{"roast", event.roast},
                       {"occurrence", event.occurrence},
                       {"value_milli", event.value_milli},
                       {"limit_milli", event.limit_milli},
                       {"index", event.index},
                       {"milestone", name(event.milestone)},
                       {"source", name(event.source)},
                       {"control", name(event.control)},
                       {"rule", name(event.rule)},
                       {"priority", name(event.priority)},
                       {"health", name(event.health)},
                       {"bad", event.bad},
                       {"disposition", name(event.disposition)},
                       {"code", event.code}};
    return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace

JournalEntry journal_entry(const Event& event) {
    JournalEntry entry;
    entry.tick_ms = event.tick.ms;
    entry.at_ms = event.at.ms;
    entry.kind = std::string(name(event.kind));
    entry.roast = event.roast;
    entry.body = body_of(event);
    entry.text = words(event);
    return entry;
}

std::string journal_line(const JournalEntry& entry) {
    return fmt::format("{}\t{}\t{}\t{}\t{}\t{}", entry.tick_ms, entry.at_ms, entry.kind, entry.roast,
                       entry.body, entry.text);
}

}  // namespace drumwatch
