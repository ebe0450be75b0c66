#include "service/reload.hpp"

#include <spdlog/spdlog.h>

#include <algorithm>

#include "config/difference.hpp"
#include "files/target_doubts.hpp"

namespace drumwatch {

std::optional<ReadAgain> read_again(const Config& present) {
    ConfigReading reading = read_config(present.path);
    for (const ConfigMistake& mistake : reading.mistakes)
        spdlog::error("{}", format_mistake(present.path, mistake));
    if (!reading.config) return std::nullopt;
    auto targets = read_targets(*reading.config);
    if (!targets) {
        spdlog::error("{}", targets.error());
        return std::nullopt;
    }
    if (auto reader = RecordReader::open(present.record.path))
        learn_from_record(*reader.value(), present.station, targets.value());
    for (std::size_t i = 0; i < targets.value().size(); ++i)
        for (const std::string& sentence :
             sentences_about(*targets.value()[i].target, reading.config->targets[i]))
            spdlog::warn("{}", sentence);
    return ReadAgain{std::move(*reading.config), std::move(targets.value())};
}

bool say_changes(const Config& present, const Config& again) {
    const auto changes = differences(present, again);
    for (const Difference& change : changes) spdlog::info("{}", sentence(change));
    if (changes.empty())
        spdlog::info("the configuration says the same as before; the target files were read again");
    return std::none_of(changes.begin(), changes.end(),
                        [](const Difference& change) { return change.when == TakenOver::restart; });
}

}  // namespace drumwatch
