// The one table of named numbers. A row declares a number once: parser, CSV header, labels, range checks, documentation
// and snapshots read the row. All values are SI.
#pragma once
#include <map>
#include <set>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "engine/core/ids.h"

namespace wetrun {

/// Who can see a signal. `skid`: a person standing there can read it (gauge, lamp, sight glass, sound, hand wheel).
/// `desk`: the instructor. `truth`: debriefs and engineers only (deposits, true pH).
enum class Visibility { skid, desk, truth };

/// `reading`: computed by the model. `control`: set by hands at the skid. `fault`: set by the desk or an exercise.
enum class SignalKind { reading, control, fault };

/// How a control reaches the value asked for, and the time one pair of hands is busy with it.
enum class Motion {
  at_once,  // a switch: value changes at once, hands busy for effort_s
  ramp,     // a valve stem: value moves at (max-min)/effort_s until it arrives
  pour,  // (read by decide() alone) cumulative amount: value rises at 1/effort_per_unit_s per second by the amount asked for
  momentary  // (read by decide() alone) an action: hands busy for effort_s, then value is 1 for one step and returns to 0
};

struct SignalInfo {
  std::string name;  // in a unit: "level"; in the plant's table: "tank.level"
  std::string unit;  // SI: "Pa", "m3/s", "K", "kg", "pH", "1", ...
  SignalKind kind = SignalKind::reading;
  Visibility visibility = Visibility::skid;
  double min = 0, max = 1, nominal = 0;  // range that is accepted (controls, faults) or displayed (readings)
  std::string doc;
  double start = 0;  // controls and faults: value before anything is done
  Motion motion = Motion::at_once;
  double effort_s = 0;           // see Motion; for `ramp` the time of a full stroke
  double effort_per_unit_s = 0;  // `pour`: seconds per unit added (SI)
};

/// All signals of a plant, in a fixed order.
class SignalTable {
public:
  SignalId add(SignalInfo info);               // throws InputError on a duplicate name
  SignalId find(std::string_view name) const;  // invalid id if unknown
  /// Throws InputError "unknown signal 'x'; did you mean 'y'" when unknown.
  SignalId require(std::string_view name) const;
  const SignalInfo& operator[](SignalId id) const { return rows_[id.index()]; }
  std::size_t size() const { return rows_.size(); }
  const std::vector<SignalInfo>& rows() const { return rows_; }
  /// Known names nearest to a misspelt one, best first, at most three.
  std::vector<std::string> near(std::string_view name) const;

private:
  std::vector<SignalInfo> rows_;
  std::map<std::string, SignalId, std::less<>> by_name_;
  std::set<std::string, std::less<>> units_;  // of the rows: each is looked up once
};

/// Everything that can be read at one instant: value[id] for each row of the table. Immutable once published.
struct Frame {
  std::uint64_t step = 0;
  double time_s = 0;
  std::vector<double> value;
  double operator[](SignalId id) const { return value[id.index()]; }
};

std::string_view to_text(Visibility visibility);
std::string_view to_text(SignalKind kind);

}  // namespace wetrun
