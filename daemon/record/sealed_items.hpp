// What a seal covers (seal.hpp): everything that the record holds of a roast, as items, each a text. The
// texts are a public contract; an independent reader can make them anew. In this order:
//
//   watches(id,tick_ms,began_at,'build','config_hash','begin','channels')             the roast's watch
//   roasts(id,watch,'station','coffee','target_name',target_version,'state',charge_ms,drop_ms,charged_at,
//          'milestones','verdict','reasons','moves')
//   targets('name',version,'status','coffee','json',stored_at)                        where there is one
//   events(id,watch,roast,tick_ms,at_ms,'kind','body','text')                         of the roast, by id
//   commands(id,watch,tick_ms,'kind','body','who','client_id',wall_ms)                by id
//   observations(id,watch,tick_ms,'health',idx,bad)                                   by id
//   frames(watch,minute), then for each frame a line feed and its core/frame_text.hpp one a minute of ticks
//
// without spaces between values; numbers are decimal, texts stand in ' with each ' in them doubled, what is
// missing is NULL (literals of SQL). Minute n holds the ticks from 60000 n ms on. Commands, observations and
// frames are those of the roast's watch from 60 s before the charge to 300 s after the drop, both included
// (to an hour after the charge where no drop is known); a withdrawn roast has none of them, since its frames
// may go. Values count and not how they are packed: frames that are packed anew give the same text. A row of
// frames that can't be read stands as damaged(from_ms,count,X'body') in its minute.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "record/database.hpp"
#include "record/sha256.hpp"

namespace drumwatch {

struct SealedItem {
    std::string name;  ///< for a person: "event 345", "frames of minute 12 (ticks from 720000 ms)"
    Digest digest{};   ///< of its text
};

/// Empty: there is no such roast. Thread: the connection's. Read it within one transaction.
Result<std::vector<SealedItem>> sealed_items(Database& database, std::uint64_t roast);

}  // namespace drumwatch
