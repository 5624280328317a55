// The one list of unit types. A new type: its folder, and a line here.
#include "models/array/array.h"
#include "models/cartridge/cartridge.h"
#include "models/electrode/electrode.h"
#include "models/gauge/gauge.h"
#include "models/line/line.h"
#include "models/panel/panel.h"
#include "models/pump/pump.h"
#include "models/skid/skid.h"
#include "models/stack/stack.h"
#include "models/tank/tank.h"
#include "models/valve/valve.h"

namespace wetrun {

const UnitRegistry& unit_registry() {
  static const UnitRegistry registry = [] {
    UnitRegistry r;
    register_tank(r);
    return r;
  }();
  return registry;
}

}  // namespace wetrun
