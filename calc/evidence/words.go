package evidence

// PromisedLittle is said beside a quantity that met a promise too wide to say
// much.
const PromisedLittle = "Met, but little was promised: the limits are wider than half of the predicted value."

// FewBuilds is said beside a group of fewer than ten.
const FewBuilds = "Too few builds to tell whether the predictions are as uncertain as they say."
