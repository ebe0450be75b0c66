#include "service/reload.hpp"

#include <spdlog/spdlog.h>

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

}  // namespace drumwatch
