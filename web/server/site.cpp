#include "web/site.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <exception>

#include "web/command_json.hpp"
#include "web/openapi.hpp"
#include "web/page_files.hpp"
#include "web/problem.hpp"
#include "web/routes.hpp"
#include "web/status_json.hpp"

namespace drumwatch {
namespace {

constexpr double kHealthyAge_s = 3;

Response fresh(Response response) {
    response.fields.emplace_back("Cache-Control", "no-store");
    return response;
}

Response json_response(std::string body) {
    return fresh(text_response(200, "application/json", std::move(body)));
}

Response command_response(const CommandAnswer& answer) {
    if (answer.status >= 400) return problem(answer.status, answer.text);
    return fresh(recorded_response(answer.status, answer.recorded, answer.text));
}

/// What may stand in a file name that a browser saves.
std::string safe_file_name(std::string name) {
    for (char& c : name) {
        const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
                           c == '-' || c == '_' || c == '.';
        if (!plain) c = '_';
    }
    return name;
}

Response query_response(QueryAnswer answer) {
    const bool sentence = answer.status >= 400 && answer.content_type != "application/problem+json";
    if (sentence) return problem(answer.status, answer.body);
    Response response = fresh(text_response(answer.status, answer.content_type, std::move(answer.body)));
    if (!answer.file_name.empty()) {
        response.fields.emplace_back("Content-Disposition", fmt::format("attachment; filename=\"{}\"",
                                                                        safe_file_name(answer.file_name)));
    }
    return response;
}

}  // namespace

std::string chunk(const std::string& data) { return fmt::format("{:x}\r\n{}\r\n", data.size(), data); }

Site::Site(const ServerSettings& settings, std::uint16_t port, StationFacts facts, Api api,
           std::span<const Asset> assets)
    : guard_(settings.host, port, settings.allowed_hosts),
      facts_(std::move(facts)),
      api_(std::move(api)),
      assets_(assets),
      history_(settings.history_points, facts_.tick_ms, facts_.channels) {}

void Site::publish(Published now) {
    if (!now.snapshot || !now.box) return;
    history_.push(*now.snapshot);
    now_ = std::move(now);
    published_ = std::chrono::steady_clock::now();
    status_.reset();
    event_.reset();
}

std::optional<double> Site::snapshot_age_s() const {
    if (!now_.snapshot) return std::nullopt;
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - published_).count();
}

std::optional<Response> Site::refuse(const Request& request) const {
    if (auto refusal = guard_.check_host(request)) return refusal;
    const RouteMatch match = find_route(request.method, request.path);
    if (match.route != nullptr) {
        return match.route->method == "POST" ? guard_.check_change(request) : std::nullopt;
    }
    const bool page_file = std::any_of(assets_.begin(), assets_.end(),
                                       [&](const Asset& asset) { return asset.path == request.path; });
    const std::string_view allow = page_file ? "GET, HEAD" : match.allow;
    if (allow.empty()) return problem(404, "There is nothing at this address. The page is at /.");
    if (page_file && (request.method == "GET" || request.method == "HEAD")) return std::nullopt;
    Response refusal = problem(405, fmt::format("Only {} can be done here.", allow));
    refusal.fields.emplace_back("Allow", allow);
    return refusal;
}

bool Site::opens_stream(const Request& request) const {
    const RouteMatch match = find_route(request.method, request.path);
    return request.method == "GET" && match.route != nullptr && match.route->endpoint == Endpoint::live;
}

void Site::answer(const Request& request, std::size_t connections, std::size_t streams, const Answer& reply) {
    try {
        answer_api(request, {connections, streams, snapshot_age_s()}, reply);
    } catch (const std::exception&) {
        reply(problem(500, "The web server could not answer this. The roast is not affected."));
    }
}

void Site::answer_api(const Request& request, ServerCounts counts, const Answer& reply) {
    const RouteMatch match = find_route(request.method, request.path);
    if (match.route == nullptr) {
        auto file = answer_page_file(assets_, request);
        return reply(file ? std::move(*file) : problem(404, "There is nothing at this address."));
    }
    switch (match.route->endpoint) {
        case Endpoint::status: {
            if (!now_.snapshot) return reply(problem(503, "The first readings have not come yet."));
            Response response = json_response("");
            response.text = status();
            return reply(std::move(response));
        }
        case Endpoint::live: {  // HEAD only
            return reply(fresh(text_response(200, "text/event-stream", "")));
        }
        case Endpoint::history:
            return reply(json_response(history_.json(resume_after(request), true)));
        case Endpoint::openapi: {
            Response response = json_response("");
            response.text.reset();
            response.bytes = openapi_text();
            return reply(std::move(response));
        }
        case Endpoint::health:
            return reply(health());
        case Endpoint::metrics:
            return reply(fresh(text_response(200, kOpenMetricsType, metrics_text(now_, facts_, counts))));
        case Endpoint::probes:
            return api_.probes([reply](QueryAnswer answer) { reply(query_response(std::move(answer))); });
        case Endpoint::query:
            return ask_record(request, reply);
        default:
            return command(request, reply);
    }
}

Response Site::health() const {
    const std::optional<double> age_s = snapshot_age_s();
    const bool healthy = age_s && *age_s < kHealthyAge_s;
    const std::string text = healthy ? "ok\n"
                             : age_s ? fmt::format("no snapshot for {:.0f} s\n", *age_s)
                                     : "no snapshot yet\n";
    return fresh(text_response(healthy ? 200 : 503, "text/plain; charset=utf-8", text));
}

void Site::ask_record(const Request& request, const Answer& reply) {
    constexpr std::string_view kPrefix = "/api/";
    api_.query(percent_decoded(std::string_view(request.path).substr(kPrefix.size())), request.query,
               [reply](QueryAnswer answer) { reply(query_response(std::move(answer))); });
}

void Site::command(const Request& request, const Answer& reply) {
    if (!now_.snapshot) return reply(problem(503, "The first readings have not come yet."));
    const RouteMatch match = find_route(request.method, request.path);
    ParsedCommand parsed =
        parse_command(match.route->endpoint, match.parameter, request.body, *now_.snapshot, facts_.tick_ms);
    auto answer = [reply](CommandAnswer said) { reply(command_response(said)); };
    if (auto* refusal = std::get_if<Response>(&parsed)) return reply(std::move(*refusal));
    if (auto* choice = std::get_if<TargetChoice>(&parsed)) {
        return api_.choose_target(choice->name, choice->who, choice->client_id, std::move(answer));
    }
    if (auto* asked = std::get_if<SounderTestAsked>(&parsed))
        return api_.test_sounders(std::move(asked->who), std::move(answer));
    if (auto* done = std::get_if<ReminderDone>(&parsed))
        return api_.reminder_done(std::move(*done), std::move(answer));
    if (auto* said = std::get_if<ProbeSaid>(&parsed))
        return api_.probe_said(std::move(*said), std::move(answer));
    if (auto* given = std::get_if<FactsGiven>(&parsed))
        return api_.facts(std::move(*given), std::move(answer));
    api_.command(std::move(std::get<Command>(parsed)), std::move(answer));
}

std::shared_ptr<const std::string> Site::status() {
    if (!status_) {
        status_ = std::make_shared<const std::string>(status_json(*now_.snapshot, *now_.box, facts_));
    }
    return status_;
}

Site::Live Site::live() {
    if (!now_.snapshot) return {};
    const StreamId id{now_.snapshot->watch, now_.snapshot->sequence};
    if (!event_) {
        event_ = std::make_shared<const std::string>(
            chunk(fmt::format("id: {}\nevent: status\ndata: {}\n\n", stream_id_text(id), *status())));
    }
    return {id, event_};
}

std::string Site::history_event(std::optional<StreamId> after) const {
    std::string id;
    if (now_.snapshot) {
        id = "id: " + stream_id_text({now_.snapshot->watch, now_.snapshot->sequence}) + "\n";
    }
    return chunk(id + "event: history\ndata: " + history_.json(after, false) + "\n\n");
}

std::optional<StreamId> Site::resume_after(const Request& request) {
    if (const auto id = parse_stream_id(request.last_event_id)) return id;
    return parse_stream_id(query_value(request.query, "after"));
}

}  // namespace drumwatch
