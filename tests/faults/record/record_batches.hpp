// A short recording in commits, for tests that fail the disk under it, and what must be in the record
// afterwards.
#pragma once

#include <functional>
#include <memory>
#include <set>
#include <string>

#include "record/queue.hpp"

namespace drumwatch {

inline constexpr int kBatches = 8;

/// The i-th commit: a second of frames, an event and a command; the first begins the watch and a roast.
CommitGroup batch_of(int i);

class BatchWriter;
/// Writes those batches that are not in `recorded` yet, which it adds them to; `tries` times each, with
/// upkeep between.
void write_batches(BatchWriter& writer, int tries, std::set<int>& recorded);

class Recorder;
/// With a watch begun, at the pace of a roast, after its first command "before".
std::unique_ptr<Recorder> roasting_recorder(const std::string& path);
/// A command through the recorder: was it recorded at once? Fails the test where no answer comes.
bool commit_command(Recorder& recorder, const std::string& id);
/// A recorder whose disk fails and works again says so, keeps all meanwhile, and writes it then.
void check_failing_and_back(const std::function<void()>& fail, const std::function<void()>& heal);

/// Opens the record and writes the batches with upkeep between; `tries` times each. Gives which were said to
/// be recorded; empty when the record would not even open.
std::set<int> write_all(const std::string& path, int tries);

/// The record opens, is whole by SQLite's own integrity_check (sqlite.org/pragma.html), and holds what was
/// recorded once; what was not said to be recorded is there whole or not at all.
void check_after(const std::string& path, const std::set<int>& recorded);

}  // namespace drumwatch
