// Questions to the record, answered on a thread of their own so that neither tick nor web waits for the disk.
// Thread: ask() from any; answers are given on the query thread.
#pragma once

#include <functional>
#include <memory>
#include <string>

#include "web/api.hpp"

namespace drumwatch {

class QueryDesk {
  public:
    using Answer = std::function<void(QueryAnswer)>;

    /// `record_path`: opened read-only, again when it was not there before.
    explicit QueryDesk(std::string record_path);
    ~QueryDesk();  ///< finishes what runs, joins
    /// "roasts", "roasts/17", "roasts/17.csv", "targets", "targets/NAME"; anything else is 404.
    void ask(std::string path, std::string query, std::string chosen_target, Answer answer);

  private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

}  // namespace drumwatch
