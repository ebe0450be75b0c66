#include "web/guard.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "web/problem.hpp"

namespace drumwatch {
namespace {

std::string lower(std::string text) {
    for (char& c : text) {
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    }
    return text;
}

/// An IPv6 address stands in brackets in a Host field (RFC 3986, 3.2.2).
std::string bracketed(const std::string& host) {
    const bool bare_v6 = std::count(host.begin(), host.end(), ':') > 1 && host.front() != '[';
    return bare_v6 ? "[" + host + "]" : host;
}

/// "application/json", whatever parameters follow.
bool is_json(const std::string& content_type) {
    std::string type = lower(content_type.substr(0, content_type.find(';')));
    while (!type.empty() && (type.back() == ' ' || type.back() == '\t')) type.pop_back();
    return type == "application/json";
}

}  // namespace

Guard::Guard(const std::string& bound_host, std::uint16_t port,
             const std::vector<std::string>& allowed_hosts) {
    std::vector<std::string> names = {bound_host, "localhost", "127.0.0.1", "[::1]"};
    names.insert(names.end(), allowed_hosts.begin(), allowed_hosts.end());
    for (const std::string& given : names) {
        if (given.empty()) continue;
        const std::string name = lower(bracketed(given));
        hosts_.push_back(name);
        hosts_.push_back(fmt::format("{}:{}", name, port));
    }
}

std::optional<Response> Guard::check_host(const Request& request) const {
    if (std::find(hosts_.begin(), hosts_.end(), lower(request.host)) != hosts_.end()) return std::nullopt;
    return problem(421,
                   "This server does not answer to that name. Use the address that the daemon printed, or "
                   "add the name to web.allowed_hosts in the configuration file.");
}

std::optional<Response> Guard::check_change(const Request& request) const {
    const std::string origin = lower(request.origin);
    const std::string host = lower(request.host);
    if (origin != "http://" + host && origin != "https://" + host) {
        return problem(403,
                       "Changes are taken from the station's own page only: the Origin field must name the "
                       "host that was asked, for example \"Origin: http://" +
                           host + "\".");
    }
    if (request.drumwatch != "1") return problem(403, "The field \"X-Drumwatch: 1\" is missing.");
    if (!is_json(request.content_type)) {
        return problem(415, "The body must be JSON, with \"Content-Type: application/json\".");
    }
    return std::nullopt;
}

}  // namespace drumwatch
