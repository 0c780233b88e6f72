package app.sidelong

import app.sidelong.screens.WalkScreen
import org.robolectric.Shadows.shadowOf

// What every test of a walk does with its hand.

/** The walk that is on the glass. */
val Phone.walk: WalkScreen get() = screen as WalkScreen

/** A new car, and its walk begun. */
fun Phone.begin(plate: String, body: String = "saloon") {
    touch("New car")
    type("Number plate", plate)
    touch(body)
}

/** A stroke from the middle of the place where one stands, in pixels. */
fun Phone.strokeHere(dx: Float = 40f, dy: Float = 30f) {
    scrollTo(car)
    val r = rect(car)
    val at = car.bounds(walk.now!!.at!!)!!
    val (x, y) = r.left + at.exactCenterX() to r.top + at.exactCenterY()
    stroke(x, y, x + dx, y + dy)
}

/** Goes to a place by its name. */
fun Phone.goTo(panel: String) {
    if (walk.now!!.at == panel) return
    val place = walk.now!!.places.first { it.panel == panel }
    touch(activity.getString(R.string.all_places))
    touch("${place.name}: ${place.text}")
}

/** The camera that was asked for writes these bytes; its answer's code. */
fun Phone.cameraWrites(bytes: ByteArray): Int {
    val asked = shadowOf(activity).nextStartedActivityForResult
    val to = asked.intent.getParcelableExtra("output", android.net.Uri::class.java)!!
    activity.contentResolver.openOutputStream(to, "w")!!.use { it.write(bytes) }
    return asked.requestCode
}
