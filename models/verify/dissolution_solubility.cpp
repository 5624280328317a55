#include "models/verify/verification.h"

namespace wetrun {

void verify_dissolution_solubility(Verification&) {}

}  // namespace wetrun
