// Opening the record for its one writer: looks before it touches, says in a sentence what is wrong and what
// to do, brings an old schema forward, and after an unclean stop says what it found and closes what was left
// open.
#pragma once

#include <string>

#include "record/database.hpp"
#include "record/lock_file.hpp"
#include "record/record_types.hpp"

namespace drumwatch {

struct OpenedRecord {
    LockFile lock;  ///< first: let go of last
    Database database;
    RecordFound found;
};

/// Ends a restore that was cut off (restore_steps.hpp). May take some seconds after an unclean stop (the file
/// is checked, at most 10 s). Where the file is damaged it is set aside together with its -wal, and a new
/// record begins: sampling matters more than the past.
Result<OpenedRecord> open_record(const std::string& path);

}  // namespace drumwatch
