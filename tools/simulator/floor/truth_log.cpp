#include "simulator/floor/truth_log.hpp"

#include <cmath>
#include <cstring>
#include <nlohmann/json.hpp>

#include "simulator/machine/machine.hpp"

namespace drumwatch::simulator {
namespace {
double thousandths(double value) { return std::round(value * 1000.0) / 1000.0; }
}  // namespace

std::string truth_line(const TruthEvent& event) {
    nlohmann::ordered_json json;
    json["event"] = event.name;
    json["sim_ms"] = event.sim_ms;
    json["batch"] = event.batch;
    if (event.since_charge_s) json["since_charge_s"] = thousandths(*event.since_charge_s);
    json["bean_c"] = thousandths(event.bean_c);
    for (const auto& [key, value] : event.more) {
        if (const auto* number = std::get_if<double>(&value)) {
            json[key] = thousandths(*number);
        } else if (const auto* flag = std::get_if<bool>(&value)) {
            json[key] = *flag;
        } else if (const auto* count = std::get_if<std::int64_t>(&value)) {
            json[key] = *count;
        } else {
            json[key] = std::get<std::string>(value);
        }
    }
    return json.dump();
}

TruthLog::TruthLog(const std::string& path) : file_(std::fopen(path.c_str(), "we")) {
    if (file_ == nullptr) throw SetupError("truth file " + path + ": " + std::strerror(errno));
}

TruthLog::~TruthLog() { std::fclose(file_); }

void TruthLog::write(const TruthEvent& event) {
    const std::string line = truth_line(event) + "\n";
    std::fwrite(line.data(), 1, line.size(), file_);
    std::fflush(file_);
}

}  // namespace drumwatch::simulator
