// What is answered to a request, without sockets: routes, checks, the newest snapshot, the history. Lives on
// the web thread.
#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>

#include "web/api.hpp"
#include "web/assets.hpp"
#include "web/guard.hpp"
#include "web/history.hpp"
#include "web/http.hpp"
#include "web/metrics.hpp"
#include "web/server.hpp"

namespace drumwatch {

class Site {
  public:
    /// Called exactly once, on whatever thread has the answer.
    using Answer = std::function<void(Response)>;

    Site(const ServerSettings& settings, std::uint16_t port, StationFacts facts, Api api,
         std::span<const Asset> assets);

    void publish(Published now);
    void remember(const Snapshot& past) { history_.push(past); }

    /// Judged when the header section is there: a refusal, or nothing when the request may go on.
    std::optional<Response> refuse(const Request& request) const;
    /// The request opens a live stream (after refuse()).
    bool opens_stream(const Request& request) const;
    /// Everything else. Never throws; our own failure becomes a 500 that says nothing of the inside.
    void answer(const Request& request, std::size_t connections, std::size_t streams, const Answer& reply);

    /// The live stream's pieces, each a chunk of HTTP/1.1 (RFC 9112, 7.1) with one event
    /// (text/event-stream, HTML Living Standard 9.2).
    struct Live {
        std::optional<StreamId> newest;            ///< none before the first snapshot
        std::shared_ptr<const std::string> event;  ///< of the newest snapshot; all streams share it
    };
    Live live();
    std::string history_event(std::optional<StreamId> after) const;
    std::size_t points_after(StreamId id) const { return history_.count_after(id); }
    /// Where a stream that opens goes on: Last-Event-ID, else ?after=.
    static std::optional<StreamId> resume_after(const Request& request);

  private:
    std::shared_ptr<const std::string> status();
    void answer_api(const Request& request, ServerCounts counts, const Answer& reply);
    Response health() const;
    void ask_record(const Request& request, const Answer& reply);
    void command(const Request& request, const Answer& reply);
    std::optional<double> snapshot_age_s() const;

    Guard guard_;
    StationFacts facts_;
    Api api_;
    std::span<const Asset> assets_;
    History history_;
    Published now_;
    std::chrono::steady_clock::time_point published_;
    std::shared_ptr<const std::string> status_;  ///< of now_, made when first asked for
    std::shared_ptr<const std::string> event_;
};

/// One chunk of a chunked body.
std::string chunk(const std::string& data);

}  // namespace drumwatch
