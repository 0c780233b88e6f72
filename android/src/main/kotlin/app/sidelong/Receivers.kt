package app.sidelong

import android.content.BroadcastReceiver
import android.content.Context
import android.content.Intent

/** A section is due, or late: what is due now is the core's to say, and it is rung. */
class DueReceiver : BroadcastReceiver() {
    override fun onReceive(context: Context, intent: Intent) {
        val waiting: PendingResult? = goAsync()
        (context.applicationContext as App).desk.rang { waiting?.finish() }
    }
}

/** The phone was started, or lets us ring to the second now. Opening the notebook tells the bell what is due. */
class StartedReceiver : BroadcastReceiver() {
    override fun onReceive(context: Context, intent: Intent) {
        val waiting: PendingResult? = goAsync()
        (context.applicationContext as App).desk.started { waiting?.finish() }
    }
}
