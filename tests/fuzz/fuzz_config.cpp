// Any bytes as a configuration: mistakes or a configuration, never both and never a crash.
#include <cstdint>
#include <cstdlib>
#include <string>

#include "config/config.hpp"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    const std::string text(reinterpret_cast<const char*>(data), size);
    const auto reading = drumwatch::parse_config(text, "/srv/station.json");
    if (reading.config.has_value() == !reading.mistakes.empty()) std::abort();
    for (const auto& mistake : reading.mistakes) {
        if (drumwatch::format_mistake("x", mistake).empty() || mistake.line < 0) std::abort();
    }
    return 0;
}
