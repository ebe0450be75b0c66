// A station in the middle of a roast, filled by hand, and a server on a port of the kernel's choice.
#pragma once

#include <deque>
#include <functional>
#include <memory>
#include <mutex>
#include <string>

#include "web/api.hpp"
#include "web/server.hpp"

namespace drumwatch {

StationFacts sample_facts();
/// Every optional part is there. Sequence `sequence` of watch 3; 4 Hz; charged at tick 100 s.
Snapshot sample_snapshot(std::uint64_t sequence = 2368);
BoxState sample_box();
Published sample_published(std::uint64_t sequence = 2368);

/// Answers in the web thread, and remembers what it was told.
class SampleStation {
  public:
    Api api();
    std::deque<Command> commands() const;
    std::deque<std::string> queries() const;
    std::deque<std::string> choices() const;
    std::deque<FactsGiven> facts() const;
    std::deque<ProbeSaid> probe_said() const;
    CommandAnswer answer{200, true, "taken"};  ///< set before the server starts
    bool silent = false;                       ///< never answers

  private:
    mutable std::mutex mutex_;
    std::deque<Command> commands_;
    std::deque<std::string> queries_;
    std::deque<std::string> choices_;
    std::deque<FactsGiven> facts_;
    std::deque<ProbeSaid> probe_said_;
};

/// Stops the test with the reason if it can't start.
std::unique_ptr<Server> start_server(SampleStation& station, ServerSettings settings = {});

}  // namespace drumwatch
