// What the page is told of the box beside the engine's snapshot. Thread: core.
#pragma once

#include <memory>
#include <string>

#include "record/recorder.hpp"
#include "service/bus_room.hpp"
#include "service/sounder_room.hpp"
#include "web/api.hpp"

namespace drumwatch {

/// All but the reminders and the late verdict. `backup_complaint`: empty where backups are well.
std::shared_ptr<BoxState> box_state(WallTime utc, const RecorderStatus& record,
                                    const std::string& backup_complaint, const BusRoom& buses,
                                    const SounderRoom& sounders);

/// Of the configuration, for the recorder.
RecorderSettings recorder_settings(const RecordConfig& record);

}  // namespace drumwatch
