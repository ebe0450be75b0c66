// Questions about roasts and alarms (from the record) and targets, answered on a thread of their own so that
// neither tick nor web waits for the disk. Thread: ask() from any; answers are given on the query thread.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "record/reader.hpp"
#include "web/api.hpp"

namespace drumwatch {

class QueryDesk {
  public:
    using Answer = std::function<void(QueryAnswer)>;

    /// `record_path`: opened read-only, again when it was not there before.
    /// `offered`: the targets that can be chosen.
    QueryDesk(std::string record_path, std::vector<TargetRow> offered);
    ~QueryDesk();                                ///< finishes what runs, joins
    void offer(std::vector<TargetRow> offered);  ///< other targets from now on
    void run(std::function<void()> slow);        ///< whatever else may wait for the disk
    /// `look` gets the reader, or null and why there is none.
    void look(std::function<void(RecordReader*, const std::string& why_not)> look);
    /// "roasts", "roasts/17", "roasts/17.csv", "targets", "targets/NAME", "alarms/figures"; anything else is
    /// 404.
    void ask(std::string path, std::string query, std::string chosen_target, Answer answer);

  private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

}  // namespace drumwatch
