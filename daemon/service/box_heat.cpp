#include "service/box_heat.hpp"

#include <algorithm>
#include <filesystem>
#include <fstream>

namespace drumwatch {

std::optional<double> hottest_c(const std::string& sys) {
    std::optional<double> hottest;
    std::error_code none;
    for (const auto& zone : std::filesystem::directory_iterator(sys + "/class/thermal", none)) {
        double milli_c = 0;
        if (!(std::ifstream(zone.path() / "temp") >> milli_c)) continue;
        hottest = std::max(hottest.value_or(milli_c / 1000), milli_c / 1000);
    }
    return hottest;
}

}  // namespace drumwatch
