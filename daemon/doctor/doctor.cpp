#include "doctor/doctor.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "doctor/ask_daemon.hpp"
#include "web/listening_port.hpp"

namespace drumwatch {

namespace {

/// Names of channels that have no good value now, as in "bean, exhaust".
std::string without_value(const nlohmann::json& channels) {
    std::string names;
    for (const auto& [name, channel] : channels.items())
        if (channel.at("value").is_null()) names += (names.empty() ? "" : ", ") + name;
    return names;
}

std::vector<Finding> told_of_buses(const nlohmann::json& status) {
    std::vector<Finding> findings;
    for (const std::string link : status.at("links"))
        findings.push_back(
            {"bus", FindingState::broken, link, "See that the device has power and that its cable is in."});
    if (!findings.empty()) return findings;
    const std::string missing = without_value(status.at("channels"));
    if (missing.empty())
        return {{"buses", FindingState::well, "the running daemon gets every channel from them", ""}};
    return {
        {"buses", FindingState::look, "the running daemon has no good reading of: " + missing,
         "Just after a start look again in some seconds; else see to the probe, its plug and its cable."}};
}

std::vector<Finding> told_of_sounders(const nlohmann::json& status) {
    const auto& sounders = status.at("sounders");
    std::vector<Finding> findings;
    for (const auto& sounder : sounders) {
        if (sounder.at("working").get<bool>()) continue;
        findings.push_back({"sounder", FindingState::broken,
                            fmt::format("\"{}\" does not work: {}", sounder.at("name").get<std::string>(),
                                        sounder.at("why").get<std::string>()),
                            "Alarms may not be heard there until it is mended; then test it."});
    }
    if (findings.empty() && !sounders.empty())
        findings.push_back({"sounders", FindingState::well,
                            fmt::format("the running daemon reaches all {}", sounders.size()), ""});
    return findings;
}

/// What the running daemon knows; nothing where its page doesn't answer, which look_at_page() says.
std::vector<Finding> told_by_daemon(const WebConfig& web) {
    const auto answer = ask_daemon(web, "/api/status");
    if (!answer) return {};
    try {
        const auto status = nlohmann::json::parse(answer.value());
        std::vector<Finding> findings = told_of_buses(status);
        std::vector<Finding> of_sounders = told_of_sounders(status);
        std::move(of_sounders.begin(), of_sounders.end(), std::back_inserter(findings));
        const auto& record = status.at("record");
        if (!record.at("writing").get<bool>())
            findings.push_back({"record", FindingState::broken, record.at("text").get<std::string>(),
                                "See the lines on the disk above."});
        return findings;
    } catch (const nlohmann::json::exception&) {
        return {{"daemon", FindingState::look, "its page answers something else than a status",
                 "See whether another program listens there."}};
    }
}

bool on_this_box_only(const WebConfig& web) {
    return web.host == "localhost" || web.host == "::1" || web.host.starts_with("127.");
}

void append(std::vector<Finding>& findings, std::vector<Finding> more) {
    std::move(more.begin(), more.end(), std::back_inserter(findings));
}

}  // namespace

Finding look_at_page(const WebConfig& web, bool daemon_runs) {
    const std::string address = fmt::format("http://{}:{}/", web.host, web.port);
    if (daemon_runs && web.port == 0)
        return {"page", FindingState::well, "on a port of the system's choice; the daemon printed it", ""};
    if (daemon_runs) {
        const auto answer = ask_daemon(web, "/healthz");
        const char* to =
            on_this_box_only(web) ? " answers, to this box only: for tablets set web.host" : " answers";
        if (answer) return {"page", FindingState::well, address + to, ""};
        return {"page", FindingState::broken, fmt::format("{}: {}", address, answer.error()),
                "The daemon runs, but under another configuration or not well: systemctl status drumwatch."};
    }
    const auto port = ListeningPort::open(web.host, web.port);
    if (!port)
        return {"page", FindingState::broken, port.error(), "Correct web.host or web.port, or the network."};
    if (on_this_box_only(web))
        return {"page", FindingState::look, address + " is free, but only this box itself can open it",
                "For tablets, set web.host to the box's own address on the roastery's network."};
    return {"page", FindingState::well, address + " is free for the daemon", ""};
}

std::vector<Finding> examine(const Config& config) {
    const KernelFiles kernel;
    std::vector<Finding> findings = look_at_disk(config.record);
    if (!may_see_record(config.record.path)) {
        findings.push_back(
            {"record", FindingState::look, fmt::format("this user may not look at {}", config.record.path),
             "Run the doctor as root or as the daemon's user: like this it can't be told whether a "
             "daemon runs, and buses and page are left alone."});
        append(findings, examine_box(kernel));
        return findings;
    }
    const auto holder = record_holder(config.record.path, kernel);
    append(findings, look_at_record(config.record, holder));
    if (auto writer = look_at_writer(config.record.path, kDaemonUser)) findings.push_back(std::move(*writer));
    findings.push_back(look_at_backups(config.record));
    append(findings, look_at_buses(config, holder.has_value()));
    append(findings, look_at_sounders(config));
    findings.push_back(look_at_page(config.web, holder.has_value()));
    if (holder && config.web.port != 0) append(findings, told_by_daemon(config.web));
    append(findings, examine_box(kernel));
    return findings;
}

FindingState worst(const std::vector<Finding>& findings) {
    FindingState state = FindingState::well;
    for (const Finding& finding : findings) state = std::max(state, finding.state);
    return state;
}

std::string_view name(FindingState state) {
    switch (state) {
        case FindingState::well:
            return "well";
        case FindingState::look:
            return "look";
        case FindingState::broken:
            return "broken";
    }
    return "";
}

}  // namespace drumwatch
