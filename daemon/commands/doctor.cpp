#include "doctor/doctor.hpp"

#include <fmt/format.h>

#include <CLI/CLI.hpp>
#include <nlohmann/json.hpp>

#include "commands/commands.hpp"
#include "service/targets.hpp"

namespace drumwatch {

namespace {

std::vector<Finding> mistakes_of(const std::string& path, const ConfigReading& reading) {
    std::vector<Finding> findings;
    for (const ConfigMistake& mistake : reading.mistakes)
        findings.push_back({"configuration", FindingState::broken, format_mistake(path, mistake),
                            "Correct it, then: drumwatch check " + path});
    if (!reading.config) return findings;
    if (const auto targets = read_targets(*reading.config); !targets)
        findings.push_back(
            {"configuration", FindingState::broken, targets.error(), "Correct the target file."});
    if (findings.empty()) findings.push_back({"configuration", FindingState::well, path + ": in order", ""});
    return findings;
}

void print(const std::vector<Finding>& findings) {
    for (const Finding& finding : findings) {
        fmt::print("{:<7} {}: {}\n", name(finding.state), finding.topic, finding.text);
        if (!finding.advice.empty()) fmt::print("        what to do: {}\n", finding.advice);
    }
}

void print_json(const std::vector<Finding>& findings) {
    auto list = nlohmann::json::array();
    for (const Finding& finding : findings)
        list.push_back({{"topic", finding.topic},
                        {"state", name(finding.state)},
                        {"text", finding.text},
                        {"advice", finding.advice}});
    const nlohmann::json all = {{"findings", list}, {"worst", name(worst(findings))}};
    fmt::print("{}\n", all.dump(2, ' ', false, nlohmann::json::error_handler_t::replace));
}

int examine_station(const std::string& path, bool json) {
    const ConfigReading reading = read_config(path);
    std::vector<Finding> findings = mistakes_of(path, reading);
    for (Finding& finding : reading.config ? examine(*reading.config) : examine_box({}))
        findings.push_back(std::move(finding));
    json ? print_json(findings) : print(findings);
    return static_cast<int>(worst(findings));
}

}  // namespace

void add_doctor(CLI::App& app, int& exit_code) {
    CLI::App* command = app.add_subcommand(
        "doctor", "Look at the box that a station runs on; 0 all well, 1 something to look at, 2 broken");
    const auto path = std::make_shared<std::string>();
    const auto json = std::make_shared<bool>(false);
    command->add_option("CONFIG", *path, "configuration file (JSON with // comments)")->required();
    command->add_flag("--json", *json, "print one JSON object");
    command->callback([path, json, &exit_code] { exit_code = examine_station(*path, *json); });
}

}  // namespace drumwatch
