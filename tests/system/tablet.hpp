// What a tablet sees of a station, and what it sends. A deadline only stops a hang.
#pragma once

#include <doctest/doctest.h>

#include <chrono>
#include <nlohmann/json.hpp>
#include <string>
#include <thread>

#include "station.hpp"
#include "support/raw_client.hpp"

namespace drumwatch {

class Tablet {
  public:
    explicit Tablet(StationRun& station) : station_(station) {}

    RawResponse get(const std::string& target) const { return RawClient(station_.port()).get(target); }
    nlohmann::json status() const {
        const RawResponse response = get("/api/status");
        return response.status == 200 ? nlohmann::json::parse(response.body) : nlohmann::json();
    }
    template <typename Condition>
    nlohmann::json until(const char* what, Condition condition) const {
        const auto give_up = std::chrono::steady_clock::now() + std::chrono::seconds(120);
        for (;;) {
            const nlohmann::json now = status();
            if (!now.is_null() && condition(now)) return now;
            REQUIRE_MESSAGE(std::chrono::steady_clock::now() < give_up, what, " never came: ", now.dump());
            REQUIRE_MESSAGE(station_.daemon_running(), what);
            std::this_thread::sleep_for(std::chrono::milliseconds(20));  // between looks
        }
    }
    RawResponse mark(const std::string& milestone, const std::string& id) const {
        return RawClient(station_.port())
            .post("/api/marks", nlohmann::json{{"mark", milestone}, {"client_id", id}}.dump());
    }
    /// A command that is taken at any moment, again and again.
    RawResponse silence(const std::string& id) const {
        return RawClient(station_.port())
            .post("/api/alarms/silence", nlohmann::json{{"client_id", id}}.dump());
    }

  private:
    StationRun& station_;
};

}  // namespace drumwatch
