// The record, the web server and the targets: the names and places that the service needs.
#include <arpa/inet.h>
#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "config/keys.hpp"
#include "config/parts.hpp"
#include "files/target_json.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kMaxTargets = 500;

/// Loopback, or private by RFC 1918, or link-local by RFC 3927.
bool is_near_v4(const std::array<unsigned char, 4>& a) {
    return a[0] == 127 || a[0] == 10 || (a[0] == 172 && (a[1] & 0xF0) == 16) ||
           (a[0] == 192 && a[1] == 168) || (a[0] == 169 && a[1] == 254);
}

/// Loopback by RFC 4291, unique local by RFC 4193, link-local by RFC 4291.
bool is_near_v6(const std::array<unsigned char, 16>& a) {
    const bool loopback =
        a[15] == 1 && std::all_of(a.begin(), a.end() - 1, [](unsigned char b) { return b == 0; });
    return loopback || (a[0] & 0xFE) == 0xFC || (a[0] == 0xFE && (a[1] & 0xC0) == 0x80);
}

bool is_near(const std::string& host) {
    std::array<unsigned char, 4> v4{};
    std::array<unsigned char, 16> v6{};
    if (inet_pton(AF_INET, host.c_str(), v4.data()) == 1) return is_near_v4(v4);
    if (inet_pton(AF_INET6, host.c_str(), v6.data()) == 1) return is_near_v6(v6);
    return host == "localhost";
}

bool is_host_name(std::string_view host) {
    const auto fits = [](char c) {
        return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '.' ||
               c == '-';
    };
    return !host.empty() && host.size() <= 253 && std::all_of(host.begin(), host.end(), fits);
}

void read_allowed_hosts(JsonObject& object, WebConfig& web) {
    const auto items = object.list("allowed_hosts", 0, 32);
    for (std::size_t i = 0; i < items.size(); ++i) {
        if (items[i].kind == JsonKind::text && is_host_name(items[i].text)) {
            web.allowed_hosts.push_back(items[i].text);
            continue;
        }
        object.mistakes().push_back({pointer_to(object.pointer("allowed_hosts"), i),
                                     "must be a host's name as a browser shows it, without http:// and port, "
                                     "such as \"station-2.local\"",
                                     items[i].place});
    }
}

/// One target file; its name, or nothing when it can't be read.
std::optional<std::string> target_name(JsonObject& root, std::size_t i, const JsonNode& node,
                                       const Config& config) {
    const auto target = read_target(config.targets.back(), config.verdict);
    if (target) return target.value().name;
    root.mistakes().push_back({pointer_to(root.pointer("targets"), i), target.error(), node.place});
    return std::nullopt;
}

void check_names(JsonObject& root, const std::vector<std::string>& names, const Config& config) {
    for (std::size_t i = 0; i < names.size(); ++i) {
        if (std::find(names.begin() + static_cast<std::ptrdiff_t>(i) + 1, names.end(), names[i]) ==
            names.end())
            continue;
        root.complain("targets", fmt::format("two of the files are targets called {}", quoted(names[i])));
    }
    if (config.chosen_target.empty() ||
        std::find(names.begin(), names.end(), config.chosen_target) != names.end()) {
        return;
    }
    const std::vector<std::string_view> known(names.begin(), names.end());
    root.complain("target", fmt::format("no target file is called {}; {} would be right",
                                        quoted(config.chosen_target), quoted_list(known)));
}

void read_backup(JsonObject& record, Config& config) {
    auto object = record.object("backup", kBackupKeys);
    if (!object) return;
    BackupConfig backup;
    std::string folder;
    if (object->read("folder", folder, 1024)) backup.folder = beside(config, folder);
    object->read("every_h", backup.every_h, {1, 720, "h"});
    object->read("keep", backup.keep, {1, 10'000, "backups"});
    object->read("same_disk", backup.same_disk);
    config.record.backup = backup;
}

}  // namespace

void read_record(JsonObject& root, Config& config) {
    auto object = root.object("record", kRecordKeys);
    if (!object) return;
    std::string path;
    if (object->read("path", path, 1024)) config.record.path = beside(config, path);
    std::int64_t months = config.record.raw_months;
    if (object->read("raw_months", months, {1, 240, "months"}))
        config.record.raw_months = static_cast<int>(months);
    object->read("budget_mb", config.record.budget_mb, {50, 10'000'000, "MB"});
    read_backup(*object, config);
}

void read_web(JsonObject& root, Config& config) {
    auto object = root.object("web", kWebKeys);
    if (!object) return;
    if (object->read("host", config.web.host, 253) && !is_near(config.web.host)) {
        object->complain(
            "host", fmt::format("is {}; a loopback or private address of this box would be right, such as "
                                "127.0.0.1 or 192.168.1.20: the page is for the roastery's own network",
                                quoted(config.web.host)));
    }
    std::int64_t port = config.web.port;
    if (object->read("port", port, {0, 65535})) config.web.port = static_cast<std::uint16_t>(port);
    read_allowed_hosts(*object, config.web);
}

void read_targets(JsonObject& root, Config& config, bool look_inside) {
    const auto items = root.list("targets", 0, kMaxTargets);
    std::vector<std::string> names;
    std::size_t unread = 0;
    for (std::size_t i = 0; i < items.size(); ++i) {
        if (items[i].kind != JsonKind::text || items[i].text.empty()) {
            root.mistakes().push_back({pointer_to(root.pointer("targets"), i),
                                       "must be the name of a target file", items[i].place});
            ++unread;
            continue;
        }
        config.targets.push_back(beside(config, items[i].text));
        if (!look_inside) continue;
        const auto name = target_name(root, i, items[i], config);
        if (name) names.push_back(*name);
        if (!name) ++unread;
    }
    if (root.read("target", config.chosen_target, 80) && items.empty()) {
        root.complain("target", "names a target, but \"targets\" lists no file");
        return;
    }
    if (look_inside && unread == 0) check_names(root, names, config);
}

}  // namespace drumwatch
