package app.sidelong.platform

import android.content.Context
import android.hardware.Sensor
import android.hardware.SensorEvent
import android.hardware.SensorEventListener
import android.hardware.SensorManager
import android.hardware.camera2.CameraCharacteristics
import android.hardware.camera2.CameraManager
import android.location.Location
import android.location.LocationListener
import android.location.LocationManager
import android.os.Bundle
import android.os.Handler
import android.os.Looper
import sidelong.core.Earth
import sidelong.core.Turned
import sidelong.core.earthAt

/** What the phone itself can tell of a look: how its lamp is turned, and about where on earth it is. */
interface Senses {
    /** Whether a rotation sensor is there. */
    val turns: Boolean

    /** True from [follow] to [turned]. */
    val following: Boolean

    /** Lights the phone's lamp and follows how it is turned; nothing happens without a sensor. */
    fun follow()

    /** Puts the lamp out and says how the phone was turned since. */
    fun turned(): List<Turned>

    /** About where on earth; null when the phone does not know it within half a minute. The permission was given. */
    fun place(answer: (Earth?) -> Unit)
}

/** The phone's own sensors. */
class PhoneSenses(private val context: Context) : Senses {
    private val sensors = context.getSystemService(Context.SENSOR_SERVICE) as SensorManager

    // Without the compass first: steel beside it turns that one, and only the turn since the beginning counts.
    private val sensor: Sensor? = sensors.getDefaultSensor(Sensor.TYPE_GAME_ROTATION_VECTOR) ?: sensors.getDefaultSensor(Sensor.TYPE_ROTATION_VECTOR)
    private val felt = mutableListOf<Turned>()
    private val main = Handler(Looper.getMainLooper())

    private val listener = object : SensorEventListener {
        override fun onSensorChanged(event: SensorEvent) {
            if (felt.size >= MOST) return
            val q = FloatArray(4)
            SensorManager.getQuaternionFromVector(q, event.values)
            felt += Turned(x = q[1], y = q[2], z = q[3], w = q[0])
        }

        override fun onAccuracyChanged(sensor: Sensor, accuracy: Int) {}
    }

    override val turns get() = sensor != null
    override var following = false
        private set

    override fun follow() {
        felt.clear()
        following = sensor != null && sensors.registerListener(listener, sensor, SensorManager.SENSOR_DELAY_UI)
        if (following) lamp(true)
    }

    override fun turned(): List<Turned> {
        if (!following) return emptyList()
        following = false
        sensors.unregisterListener(listener)
        lamp(false)
        return felt.toList()
    }

    /** A phone without a lamp, or whose camera is in use, is swept with another lamp in the same hand. */
    private fun lamp(on: Boolean) {
        val cameras = context.getSystemService(Context.CAMERA_SERVICE) as? CameraManager ?: return
        try {
            val id = cameras.cameraIdList.firstOrNull { cameras.getCameraCharacteristics(it).get(CameraCharacteristics.FLASH_INFO_AVAILABLE) == true } ?: return
            cameras.setTorchMode(id, on)
        } catch (_: android.hardware.camera2.CameraAccessException) {
            return
        } catch (_: IllegalArgumentException) {
            return
        }
    }

    @Suppress("DEPRECATION") // Its successor came with Android 11 and does the same.
    override fun place(answer: (Earth?) -> Unit) {
        val places = context.getSystemService(Context.LOCATION_SERVICE) as? LocationManager
        val from = places?.getProviders(true)?.let { all -> listOf(LocationManager.NETWORK_PROVIDER, LocationManager.GPS_PROVIDER).firstOrNull { it in all } }
        if (places == null || from == null) return answer(null)
        var open = true
        fun once(earth: Earth?) {
            if (open) answer(earth)
            open = false
        }
        val listener = object : LocationListener {
            override fun onLocationChanged(at: Location) = once(earthAt(at.latitude, at.longitude))
            override fun onProviderDisabled(provider: String) = once(null)
            override fun onProviderEnabled(provider: String) {}

            @Deprecated("Android 8 calls it.")
            override fun onStatusChanged(provider: String?, status: Int, extras: Bundle?) {}
        }
        try {
            places.requestSingleUpdate(from, listener, Looper.getMainLooper())
        } catch (_: SecurityException) {
            return once(null)
        }
        main.postDelayed({ places.removeUpdates(listener); once(null) }, PATIENCE_MS)
    }

    private companion object {
        /** Moments of the longest sweep. */
        const val MOST = 4_000
        const val PATIENCE_MS = 30_000L
    }
}
