// The one list of unit types. A new type: its folder, and a line here.
#include "models/array/array.h"
#include "models/cartridge/cartridge.h"
#include "models/electrode/electrode.h"
#include "models/gauge/gauge.h"
#include "models/line/line.h"
#include "models/line/return_hose.h"
#include "models/line/supply.h"
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
    register_pump(r);
    register_valve(r);
    register_check_valve(r);
    register_strainer(r);
    register_leak(r);
    register_line(r);
    register_hose(r);
    register_return_hose(r);
    register_header(r);
    register_sewer(r);
    register_cartridge(r);
    register_array(r);
    register_stack(r);
    register_electrode(r);
    register_gauge(r);
    register_flow_meter(r);
    register_thermometer(r);
    register_panel(r);
    return r;
  }();
  return registry;
}

}  // namespace wetrun
